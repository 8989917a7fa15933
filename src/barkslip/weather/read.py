"""Any weather file -> series: what it is, is told by what is in it, not by its name."""

from __future__ import annotations

from pathlib import Path

from barkslip.domain.weather import Series
from barkslip.weather.epw import is_epw, read_epw
from barkslip.weather.isd_lite import is_isd_lite, read_isd_lite
from barkslip.weather.options import ReadOptions, checked_kind
from barkslip.weather.raw import RawFile, open_raw, text_of
from barkslip.weather.tmy import is_tmy2, is_tmy3, read_tmy2, read_tmy3

_NETCDF = (b"\x89HDF\r\n\x1a\n", b"CDF\x01", b"CDF\x02", b"CDF\x05")


def read_weather(path: str | Path, *, kind: str | None = None, options: ReadOptions | None = None) -> Series:
    """Read a weather file of any known format.

    Parameters
    ----------
    path : str or Path
        EPW, TMY2, TMY3, ISD-Lite (also gzipped), CF NetCDF, or a logger's table of text.
    kind : str or None
        One of `domain.weather.KINDS`; None: what the format usually is (typical year for EPW and TMY, else
        measured).
    options : ReadOptions or None
        Answers to what the file leaves open.

    Returns
    -------
    Series
        Times in UTC, SI units, gaps listed, what was assumed in `info.notes`.

    Raises
    ------
    QuestionError
        Codes "date-order", "unit", "column": the file leaves it open; answer in `options` and read again.
    WeatherFileError
        The file cannot be read; with line and column where there is one.
    """
    options = options or ReadOptions()
    if kind is not None:
        checked_kind(kind)
    raw = open_raw(path, max_bytes=options.max_bytes)
    form = format_of(raw)
    if form == "NetCDF":
        from barkslip.weather.netcdf import read_netcdf

        return read_netcdf(raw, kind, options)
    text, encoding = text_of(raw)
    if form == "EPW":
        return read_epw(raw, text, kind, options)
    if form == "TMY3":
        return read_tmy3(raw, text, kind, options)
    if form == "TMY2":
        return read_tmy2(raw, text, kind, options)
    if form == "ISD-Lite":
        return read_isd_lite(raw, text, kind, options)
    from barkslip.weather.logger_csv import read_logger_csv

    return read_logger_csv(raw, text, encoding, kind, options)


def format_of(raw: RawFile) -> str:
    """ "NetCDF", "EPW", "TMY3", "TMY2", "ISD-Lite" or "table", by content."""
    if raw.content.startswith(_NETCDF):
        return "NetCDF"
    head = raw.content[:4096].decode("latin-1").replace("\r\n", "\n").removeprefix("\xef\xbb\xbf")
    lines = head.split("\n")
    if is_epw(head):
        return "EPW"
    if is_tmy3(lines):
        return "TMY3"
    if is_tmy2(lines):
        return "TMY2"
    if is_isd_lite(lines):
        return "ISD-Lite"
    return "table"
