"""Makes the small book that is kept to prove that books of today are read by programs to come.

Run `python tests/old_books/make.py` when the schema gets a new version, and keep the older files as they are. The
content is the same at each run: a corner of the invented garden Quarrow Flat, with every noun, corrections side by
side, lines taken back, dates half known, odd signs, missing readings and a photo.
"""

from __future__ import annotations

import base64
import hashlib
import shutil
import sqlite3
import sys
import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from barkslip.domain.act import Act, Event, Photo
from barkslip.domain.answer import NightAnswer
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse, WoodRule
from barkslip.domain.entry import Entry, uuid7
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.record import Record
from barkslip.domain.sign import Cause, Sign
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Candidate, ChainLink, Limb, Tree
from barkslip.domain.trial import CanopyShare, Logger, Placement, Trial, TrialPlan, TrialReading
from barkslip.domain.weather import Flag, Gap, Series, SeriesInfo
from barkslip.domain.when import When, on
from barkslip.fieldbook import series
from barkslip.fieldbook.book import Book

E = TypeVar("E", bound=Entry)
START = datetime(2024, 9, 1, 6, 0, tzinfo=UTC)
#: A green square of 16 by 12 pixels.
PICTURE = base64.b64decode(
    "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDACgcHiMeGSgjISMtKygwPGRBPDc3PHtYXUlkkYCZlo+AjIqgtObDoKrarYqMyP/L2u71////m8H/"
    "///6/+b9//j/2wBDASstLTw1PHZBQXb4pYyl+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj4+Pj/"
    "wAARCAAMABADASIAAhEBAxEB/8QAFQABAQAAAAAAAAAAAAAAAAAAAAL/xAAUEAEAAAAAAAAAAAAAAAAAAAAA/8QAFQEBAQAAAAAAAAAAAAAA"
    "AAAAAgP/xAAUEQEAAAAAAAAAAAAAAAAAAAAA/9oADAMBAAIRAxEAPwCQEQf/2Q=="
)
PICTURE_NAME = f"{hashlib.sha256(PICTURE).hexdigest()}.jpg"


class Pen:
    """Numbers lines one after the other, the same at each run."""

    def __init__(self) -> None:
        self.n = 0

    def line(self) -> dict[str, Any]:
        """What a first line about a new thing needs."""
        self.n += 1
        made = START + timedelta(minutes=self.n)
        number = uuid7(int(made.timestamp() * 1000), self.n * 0x9E3779B97F4A7C15 & 2**74 - 1)
        return {"id": number, "thing": number, "made_utc": f"{made:%Y-%m-%dT%H:%M:%SZ}"}

    def correct(self, old: E, **changes: Any) -> E:
        """A later line about the same thing."""
        new = self.line()
        return replace(old, id=new["id"], made_utc=new["made_utc"], corrects=old.id, **changes)


def day(text: str) -> When:
    return on(date.fromisoformat(text))


def lines(pen: Pen) -> list[Entry]:
    """Every line of the garden but the weather."""
    garden = Garden(
        **pen.line(), name="Quarrow Flat", lat=-33.6, lon=21.0, elevation_m=412.0, utc_offset_h=2.0, invented=True,
        soil="sandy loam over clay at 55 cm", today="2025-03-14",
    )  # fmt: skip
    yard = Plot(**pen.line(), code="YARD", name="House yard", walk_order=1)
    low = Plot(**pen.line(), code="LOW", name="Lower paddock", walk_order=2, still_offset_k=-2.6)
    logger = Logger(**pen.line(), code="L1", place="post by T03", plot=low.id, exposure="screen", ice_bath_error_k=0.1)
    about = When(date(1997, 1, 1), date(1999, 12, 31), "about 1998")
    gatepost = Tree(**pen.line(), code="T01", name="Gatepost", plot=yard.id, planted=about, union_mm=310.0)
    bags = Tree(**pen.line(), code="T06", name="Seedling bags", plot=yard.id, count=30, walk_order=2)
    mistake = Tree(**pen.line(), code="T99", name="typed twice", plot=low.id)
    limb = Limb(**pen.line(), tree=gatepost.id, bearing="NW", band="M", path="L", base_mm=820.0)
    link = ChainLink(
        **pen.line(), tree=gatepost.id, level="rootstock", on=day("2020-08-01"),
        candidates=(Candidate("rough lemon", 0.75, "one root sucker: purple shoots, “lemon” scent"),),
    )  # fmt: skip
    lot = WoodLot(
        **pen.line(), code="W08", name="'Santa Teresa' lemon", cut=day("2024-08-10"), source_class="own tree",
        from_tree=gatepost.id, from_limb=limb.id, received=day("2024-08-11"), sticks=6, storage="damp cloth, 5 °C",
    )  # fmt: skip
    find = LotFind(**pen.line(), lot=lot.id, found="'Eureka' lemon", how="fruit", on=day("2025-02-20"))
    first = Graft(
        **pen.line(), code="G04-1", campaign="G04", tree=gatepost.id, limb=limb.id, lot=lot.id, method="bark graft",
        set_on=day("2024-08-20"), binding="vinyl tape", cover="bag", scion_mm=7.5, stock_mm=41.0, side="upper",
    )  # fmt: skip
    range_ = When(date(2024, 8, 19), date(2024, 8, 21), "2024-08-19/21")
    second = Graft(**pen.line(), code="G04-2", campaign="G04", tree=gatepost.id, method="chip bud", set_on=range_)
    looks = [
        Look(**pen.line(), graft=first.id, state="swelling", on=day("2024-09-05"), note='"fat", he said;\r\nsee photo'),
        Look(**pen.line(), graft=first.id, state="pushing", on=day("2024-09-20"), shoot_mm=12.7),
        Look(**pen.line(), graft=second.id, state="shrivelled", on=day("2024-09-20")),
        Look(**pen.line(), graft=second.id, state="black", on=day("2024-10-01"), note="wrong row"),
    ]
    act = Act(**pen.line(), kind="release", on=day("2024-10-02"), graft=first.id, detail="slit on the back")
    water = Act(**pen.line(), kind="water", on=day("2024-12-01"), plot=low.id, amount_l=1000 / 3)
    frost = Event(
        **pen.line(), kind="still frost", on=day("2024-07-15"), text="ice on the trough, naïve 100 % — 2 h",
        plots=(low.id, yard.id), figures={"low_c.LOW": -5.8, "low_c.YARD": -3.2},
    )  # fmt: skip
    photo = Photo(
        **pen.line(), file=PICTURE_NAME, on=day("2024-09-20"), about=first.id, caption="first leaf", width_px=16,
        height_px=12,
    )  # fmt: skip
    trial = Trial(
        **pen.line(), code="E1", question="Bag or no bag?", season="2024/25", design="pairs on one limb",
        result={"bag": [7, 10], "no bag": [5.0, 10]},
    )  # fmt: skip
    tasting = Tasting(**pen.line(), on=day("2025-02-20"), tree=gatepost.id, variety="lemon, limb NW", brix=8.2, panel=3)
    return [
        garden, yard, low, logger, gatepost, bags, mistake, limb, link, lot, find, first, second, *looks, act, water,
        frost, photo, trial, tasting,
        pen.correct(mistake, withdrawn=True),
        pen.correct(limb, path="1", label="nurse limb"),
        pen.correct(link, candidates=(Candidate("rough lemon", 0.9, "leaf"), Candidate("citrange", 0.05)),
                    on=day("2024-11-02")),
        # two corrections of one look stand side by side
        pen.correct(looks[2], state="unknown", note="could not see it"),
        pen.correct(looks[2], state="green and still"),
        pen.correct(looks[3], withdrawn=True),
        pen.correct(first, stock_mm=40.0),
    ]  # fmt: skip


def answers(pen: Pen, plot: str) -> list[NightAnswer]:
    """An answer about a night, and its correction with the low read the morning after."""
    first = NightAnswer(
        **pen.line(), plot=plot, day="2024-07-14", source="forecast", forecast_low_c=-2.9, low_p10_c=-7.25,
        low_p50_c=-5.5, low_p90_c=-10 / 3, target=0.1, chance=0.62, knowledge_hash="0" * 64, seed=1,
    )  # fmt: skip
    return [first, pen.correct(first, measured_low_c=-5.8)]


def clean_wood(pen: Pen, written: list[Entry]) -> list[Entry]:
    """Signs and causes, where a logger sat, tools, rules, wood handed on, something held back."""
    tree, graft, lot, logger, trial = (
        next(e for e in written if isinstance(e, noun)).thing for noun in (Tree, Graft, WoodLot, Logger, Trial)
    )
    held = Hold(**pen.line(), why="wrong name", on=day("2025-02-20"), lot=lot, how="fruit")
    return [
        Placement(**pen.line(), logger=logger, since=day("2024-11-22"), until=day("2024-11-28"), cover="foil sleeve",
                  graft=graft, side="NW", touching=True, arm="foil"),
        Sign(**pen.line(), tree=tree, question="leaflets", answer="3", on=day("2024-10-02"), note="one sucker"),
        Sign(**pen.line(), graft=graft, question="union_wood", answer="brown", on=day("2024-10-02")),
        Cause(**pen.line(), graft=graft, cause="dried", how="scion light, bark wrinkled", on=day("2024-10-03")),
        ToolUse(**pen.line(), tool="knife A", on=day("2024-08-20"), place=1, graft=graft),
        ToolUse(**pen.line(), tool="knife A", on=day("2024-08-20"), place=2, tree=tree, cleaned="1 + 5 bleach, 2 s"),
        Handout(**pen.line(), lot=lot, receiver="the neighbour uphill", on=day("2024-08-12"), sticks=2),
        WoodRule(**pen.line(), area="the district", text="no wood out without a paper", office="plant health office",
                 on=day("2024-06-01"), until=day("2025-06-01")),
        TrialPlan(
            **pen.line(), trial=trial, arms=("no bag", "bag"), unit="graft", draw={"G04-1": ["T01", "bag"]}, seed=7,
            looked_at="took on day 60", stop="after one season", min_difference=0.3,
        ),
        TrialReading(
            **pen.line(), trial=trial, unit="G04-1", arm="bag", block="T01", on=day("2024-11-23"), value=2 / 3,
            of="excess_k", logger=logger,
        ),
        CanopyShare(**pen.line(), tree=tree, name="lemon", on=day("2024-06-30"), share=0.55),
        Tasting(
            **pen.line(), on=day("2025-02-21"), tree=tree, variety="lemon, limb NW", crop=1, juice_pct=41.5,
            fruit_g=112.0, dry_n=1, fruit_n=8, temp_c=21.5,
        ),
        held,
        pen.correct(held, lifted=day("2025-03-01"), how="second crop true to name"),
    ]  # fmt: skip


def weather() -> Series:
    """Forty days of hours across a turn of the year, with a gap and missing readings."""
    hours = np.arange(960, dtype=np.int64)
    hours = hours[(hours < 300) | (hours >= 320)]
    start = int(datetime(2023, 12, 20, tzinfo=UTC).timestamp())
    air = np.round(18.0 + 9.0 * np.sin(hours / 24.0 * 2.0 * np.pi) + hours / 700.0, 3)
    air[5:9] = np.nan
    rain = np.where(hours > 700, 0.2, np.nan)  # no reading at all in the first month
    info = SeriesInfo(
        "Lower paddock, hourly", "invented", "made up for a test", utc_offset_h=2.0, notes=("°C read as typed",),
        gaps=(Gap(start + 300 * 3600, start + 320 * 3600),),
        flags=(Flag("stuck", "air_temp_c", start, start + 7200, 3, "3 equal readings"),),
    )  # fmt: skip
    return Series(info, start + hours * 3600, {"air_temp_c": air, "rain_mm": rain})


def fill(book: Book) -> None:
    """Write the garden into a book."""
    pen = Pen()
    written = lines(pen)
    (book.files.photos / PICTURE_NAME).write_bytes(PICTURE)
    with book.write() as writer:
        writer.append_all(written)
        logger = next(e for e in written if isinstance(e, Logger))
        record = Record(**pen.line(), name="", kind="", plot=logger.plot, logger=logger.id, info={})
        series.put(writer, record, weather())
        writer.append_all(answers(pen, logger.plot or ""))
        writer.append_all(clean_wood(pen, written))
        writer.set_meta("name", "Quarrow Flat")


def main(target: Path) -> None:
    """Make the file, as small as it goes."""
    folder = Path(tempfile.mkdtemp())
    try:
        book = Book.create(folder)
        fill(book)
        book.close()
        small = sqlite3.connect(book.files.book, isolation_level=None)
        for statement in ("journal_mode = DELETE", "page_size = 1024"):
            small.execute(f"PRAGMA {statement}")
        small.execute("VACUUM")
        small.execute("PRAGMA journal_mode = WAL")
        small.close()
        shutil.copyfile(book.files.book, target)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("book_v3.sqlite"))
