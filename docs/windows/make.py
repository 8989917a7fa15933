"""Writes docs/windows.md anew from weather files that come with Python packages: python docs/windows/make.py

Needs the test extra (diyepw). The files are typical years: one year stitched from months of many, so that a week says
"worked" or "did not", and only the chance says how near it was.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from barkslip.app.days import ask_days
from barkslip.app.settings import Settings
from barkslip.domain.timing import DaysVerdict, WeekOfYear

HERE = Path(__file__).parent
MEMBERS = "200"
SHASTA = ("diyepw", "data", "tmy_epw_files", "USA_CA_Mount.Shasta.725957_TMYx.epw")


@dataclass(frozen=True)
class Place:
    """One column: a place, a kind, a cover."""

    name: str
    file: tuple[str, ...]
    species: str
    cover: str


PLACES = (
    Place("Miami FL", ("pvlib", "data", "12839.tm2"), "citrus", "foil sleeve"),
    Place("Greensboro NC", ("pvlib", "data", "723170TYA.CSV"), "citrus", "foil sleeve"),
    Place("Mount Shasta CA", SHASTA, "citrus", "foil sleeve"),
    Place("Mount Shasta CA", SHASTA, "apple", "foil sleeve"),
)
ENDS = {
    "": "",
    "too_cold": "too cold",
    "too_hot": "too hot",
    "drying": "drying",
    "frost_before_link": "frost first",
    "frost_after": "frost on growth",
    "buds_before_union": "buds first",
}


def path_of(file: tuple[str, ...]) -> str:
    """Where a file of an installed package lies."""
    spec = find_spec(file[0])
    if spec is None or spec.origin is None:
        raise SystemExit(f"The package {file[0]} is missing.\nNext: install the test extra, then run this again.")
    return str(Path(spec.origin).parent.joinpath(*file[1:]))


def weeks_at(place: Place) -> DaysVerdict:
    """The year at a place."""
    fields = {
        "species": place.species,
        "method": "bark graft",
        "path": "growing",
        "cover": place.cover,
        "weather": path_of(place.file),
        "from": "2025-01-01",
        "days": "1",
        "members": MEMBERS,
        "seed": "1",
    }
    return ask_days(None, Settings(Path("/none")), fields)


def cell(week: WeekOfYear | None) -> str:
    """ "0.87", bold where it worked, with what ended it most."""
    if week is None:
        return ""
    chance = f"{week.chance.p50:.2f}"
    chance = f"**{chance}**" if week.worked else chance
    late = ", late frost" if week.false_spring and week.ended_by != "frost_after" else ""
    return ", ".join(part for part in (chance, ENDS[week.ended_by]) if part) + late


def table(years: list[dict[str, WeekOfYear]]) -> list[str]:
    """Rows of weeks, one column a place."""
    heads = [f"{p.name}, {p.species}" for p in PLACES]
    out = ["| from | " + " | ".join(heads) + " |", "|---|" + "---|" * len(heads)]
    for start in sorted({start for year in years for start in year}):
        out.append(f"| {start} | " + " | ".join(cell(year.get(start)) for year in years) + " |")
    return out


def main() -> int:
    """Write the page."""
    years = [{w.month_day: w for w in weeks_at(place).year} for place in PLACES]
    text = (HERE / "words.md").read_text(encoding="utf-8")
    (HERE.parent / "windows.md").write_text(text + "\n" + "\n".join(table(years)) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
