"""A weather file as it lies on the disk: its bytes, its text, and what it surely is not."""

from __future__ import annotations

import gzip
import hashlib
import zlib
from dataclasses import dataclass, field
from pathlib import Path

from barkslip.domain.errors import WeatherFileError

_FORMATS = "EPW, TMY2, TMY3, ISD-Lite, CF NetCDF, or a table of text (CSV)"
# First bytes of things that people pick by mistake -> what to call them, what to do.
_NOT_WEATHER: tuple[tuple[bytes, str, str], ...] = (
    (b"\xff\xd8\xff", "a JPEG picture", "Choose the file that the logger or station wrote."),
    (b"\x89PNG", "a PNG picture", "Choose the file that the logger or station wrote."),
    (b"ftyp", "a picture of a phone", "Choose the file that the logger or station wrote."),
    (b"GIF8", "a GIF picture", "Choose the file that the logger or station wrote."),
    (b"%PDF", "a PDF document", "Export the readings as CSV."),
    (b"PK\x03\x04", "a spreadsheet or a packed folder", "Save the sheet as CSV, or unpack the folder first."),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or document", "Save the sheet as CSV."),
    (b"SQLite format 3", "a database", "Export the readings as CSV."),
)
_CONTROL = bytes(range(9)) + bytes(range(14, 32))


@dataclass(frozen=True)
class RawFile:
    """One file read whole.

    Parameters
    ----------
    path : Path
    content : bytes
        Unpacked, if the file was gzipped.
    sha256 : str
        Of the file as it lies on the disk.
    notes : tuple of str
    """

    path: Path
    content: bytes = field(repr=False)
    sha256: str
    notes: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """File name without folders."""
        return self.path.name


def open_raw(path: str | Path, *, max_bytes: int) -> RawFile:
    """Read a file whole, if it is one, not too large and not plainly something else.

    Parameters
    ----------
    path : str or Path
    max_bytes : int
        Largest size [B], before and after unpacking. A larger file is refused without being read.

    Raises
    ------
    WeatherFileError
    """
    path = Path(path)
    try:
        if not path.is_file():
            raise WeatherFileError(
                "There is no such file.",
                given=path.name,
                allowed=_FORMATS,
                next_step="Check the name and the folder.",
                field="file",
            )
        size = path.stat().st_size
        if size > max_bytes:
            raise _too_large(f"{path.name}, {size / 1e6:.0f} MB", max_bytes)
        if size == 0:
            raise WeatherFileError(
                "The file is empty.",
                given=path.name,
                allowed=_FORMATS,
                next_step="Export the readings again.",
                field="file",
            )
        content = path.read_bytes()
    except OSError as problem:
        raise WeatherFileError(
            "The file cannot be read.",
            given=f"{path.name}: {problem.strerror or problem}",
            next_step="Check that you may read it and that the disk is there.",
            field="file",
        ) from None
    digest = hashlib.sha256(content).hexdigest()
    if content[:2] == b"\x1f\x8b":
        content = _gunzipped(content, path.name, max_bytes)
    for magic, what, step in _NOT_WEATHER:
        # Pictures of phones and films name their kind after four bytes of length.
        if content.startswith(magic) or (magic == b"ftyp" and content[4:8] == magic):
            raise WeatherFileError(
                f"This is {what}, not a weather file.",
                given=path.name,
                allowed=_FORMATS,
                next_step=step,
                field="file",
            )
    return RawFile(path, content, digest)


def text_of(raw: RawFile) -> tuple[str, str]:
    """The file as text with "\\n" line ends, and the encoding taken.

    Returns
    -------
    text, encoding : str
        "utf-8", "utf-16" or "windows-1252".

    Raises
    ------
    WeatherFileError
        If it is no text.
    """
    content = raw.content
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        text, encoding = content.decode("utf-16", errors="replace"), "utf-16"
    elif wide := _wide_without_mark(content):
        text, encoding = content.decode(wide, errors="replace"), "utf-16"
    else:
        head = content[:65536]
        if len(head.translate(None, _CONTROL)) < len(head):
            raise WeatherFileError(
                "This is no text and no weather file that is known here.",
                given=raw.name,
                allowed=_FORMATS,
                next_step="Export the readings as CSV.",
                field="file",
            )
        try:
            text, encoding = content.decode("utf-8-sig"), "utf-8"
        except UnicodeDecodeError:
            text, encoding = content.decode("cp1252", errors="replace"), "windows-1252"
    return text.replace("\r\n", "\n").replace("\r", "\n"), encoding


def _wide_without_mark(content: bytes) -> str:
    head = content[:4000]
    if len(head) < 8:
        return ""
    if head[1::2].count(0) > 0.4 * len(head) and head[0::2].count(0) == 0:
        return "utf-16-le"
    if head[0::2].count(0) > 0.4 * len(head) and head[1::2].count(0) == 0:
        return "utf-16-be"
    return ""


def _gunzipped(content: bytes, name: str, max_bytes: int) -> bytes:
    import io

    try:
        with gzip.open(io.BytesIO(content)) as packed:
            unpacked = packed.read(max_bytes + 1)
    except (OSError, EOFError, zlib.error):
        raise WeatherFileError(
            "The packed file is damaged.",
            given=name,
            next_step="Copy or download it again.",
            field="file",
        ) from None
    if len(unpacked) > max_bytes:
        raise _too_large(f"{name}, more than {max_bytes / 1e6:.0f} MB unpacked", max_bytes)
    return unpacked


def _too_large(given: str, max_bytes: int) -> WeatherFileError:
    return WeatherFileError(
        "The file is larger than a weather file should be.",
        given=given,
        allowed=f"up to {max_bytes / 1e6:.0f} MB",
        next_step="Export a shorter period, or one sensor at a time.",
        field="file",
    )
