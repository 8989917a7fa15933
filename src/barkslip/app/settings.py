"""Settings: one table; a file in the book's folder is overruled by the environment, that by a flag."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass
from pathlib import Path

from barkslip.domain.errors import InputError

#: name -> (environment variable, default, help). Documented in docs/commands.md; a test compares.
TABLE: dict[str, tuple[str, str, str]] = {
    "book": ("BARKSLIP_BOOK", "", "folder of the garden book; empty means the usual data folder of this machine"),
    "units": ("BARKSLIP_UNITS", "", "metric, us or imperial; empty means as the garden says"),
    "knowledge": ("BARKSLIP_KNOWLEDGE", "", "folder with knowledge files of your own"),
    "host": ("BARKSLIP_HOST", "127.0.0.1", "address the pages are served at; only loopback for now"),
    "port": ("BARKSLIP_PORT", "8321", "port the pages are served at"),
}


@dataclass(frozen=True)
class Settings:
    """Settings in force. Fields are described in `TABLE`."""

    book: Path
    units: str = ""
    knowledge: Path | None = None
    host: str = "127.0.0.1"
    port: int = 8321


def usual_folder() -> Path:
    """Where a book stands if nobody says otherwise."""
    from platformdirs import user_data_path

    return user_data_path("barkslip", appauthor=False) / "garden"


def read_settings(flags: dict[str, str | None] | None = None) -> Settings:
    """Settings from flags, the environment, and `settings.toml` in the book's folder, in this order.

    Raises
    ------
    InputError
        For an unknown name, or a port that is no port.
    """
    given = {k: v for k, v in (flags or {}).items() if v}
    env = {name: os.environ.get(variable, "") for name, (variable, _, _) in TABLE.items()}
    folder = given.get("book") or env["book"]
    book = Path(folder).expanduser() if folder else usual_folder()
    file = book / "settings.toml"
    kept: dict[str, str] = {}
    if file.exists():
        try:
            kept = {k: str(v) for k, v in tomllib.loads(file.read_text("utf-8")).items()}
        except tomllib.TOMLDecodeError as error:
            raise InputError(
                "The settings file cannot be read.",
                given=f"{file}: {error}",
                allowed='lines such as  units = "metric"',
                next_step="Correct the line, or delete the file.",
            ) from None
        unknown = sorted(set(kept) - set(TABLE))
        if unknown:
            raise InputError(
                "The settings file has a name that is no setting.",
                given=", ".join(unknown),
                allowed=", ".join(TABLE),
                next_step=f"Correct {file}.",
            )

    def pick(name: str) -> str:
        return given.get(name) or env[name] or kept.get(name, "") or TABLE[name][1]

    port = pick("port")
    if not port.isdigit() or not 0 < int(port) < 65536:
        raise InputError(
            "Not a port.", given=port, allowed="1 to 65535", next_step="Choose another with --port.", field="port"
        )
    own = pick("knowledge")
    return Settings(book, pick("units"), Path(own).expanduser() if own else None, pick("host"), int(port))
