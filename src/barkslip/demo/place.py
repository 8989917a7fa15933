"""Garden, plots, loggers, trees, chains and limbs of the demo."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from barkslip.demo.pen import Pen
from barkslip.demo.scenario import Table, when
from barkslip.domain.entry import Entry
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.tree import Candidate, ChainLink, Limb, Tree, check_candidates, parse_address
from barkslip.domain.trial import Logger


@dataclass
class Ground:
    """What has been written so far, and where to find it by code.

    Parameters
    ----------
    first_day, today : date
        First day of the book; day on which the demo's clock stands.
    thing : dict
        Code -> thing id. Limbs are "T01/L2" (their first label), grafts "G04-1".
    """

    first_day: date
    today: date
    thing: dict[str, str] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)

    def add(self, entry: Entry, code: str = "") -> None:
        """Append a line, and remember its thing under `code`."""
        self.entries.append(entry)
        if code:
            self.thing[code] = entry.thing


def write_place(pen: Pen, book: Table, ground: Ground) -> None:
    """Append garden, plots, loggers, trees, chain links and limbs."""
    today = ground.today
    ground.add(pen.first(Garden, ground.first_day, **book["garden"], invented=True, today=today.isoformat()), "garden")
    for n, row in enumerate(book["plot"], start=1):
        ground.add(pen.first(Plot, ground.first_day, walk_order=n, **row), row["code"])
    for row in book["logger"]:
        _write_logger(pen, row, ground)
    order: dict[str, int] = {}
    for row in book["tree"]:
        order[row["plot"]] = order.get(row["plot"], 0) + 1
        _write_tree(pen, row, order[row["plot"]], ground)
    for row in book["tree"]:
        for link in row["link"]:
            _write_link(pen, row["code"], link, ground)
    for row in book["tree"]:
        for limb in row.get("limb", []):
            _write_limb(pen, row, limb, ground)


def _write_logger(pen: Pen, row: Table, ground: Ground) -> None:
    given = {k: v for k, v in row.items() if k not in ("found", "plot")}
    plot = ground.thing[row["plot"]] if "plot" in row else None
    first = pen.first(Logger, ground.first_day, plot=plot, **given)
    ground.add(first, "logger " + row["code"])
    if "found" in row:
        found = dict(row["found"])
        day = date.fromisoformat(found.pop("on"))
        ground.add(pen.correct(first, day, **found))


def _write_tree(pen: Pen, row: Table, walk_order: int, ground: Ground) -> None:
    apart = ("plot", "planted", "link", "limb", "limbs_since")
    given = {k: v for k, v in row.items() if k not in apart}
    planted = when(row["planted"], ground.today)
    day = max(ground.first_day, planted.first)
    tree = pen.first(Tree, day, plot=ground.thing[row["plot"]], planted=planted, walk_order=walk_order, **given)
    ground.add(tree, row["code"])


def _candidates(level: str, rows: list[list[str | float]]) -> tuple[Candidate, ...]:
    found = tuple(Candidate(str(taxon), float(belief), str(evidence)) for taxon, belief, evidence in rows)
    check_candidates(level, found)
    return found


def _write_link(pen: Pen, tree: str, link: Table, ground: Ground) -> None:
    level, now = link["level"], when(link["on"], ground.today)
    candidates = _candidates(level, link["of"])
    if "was" not in link:
        ground.add(
            pen.first(ChainLink, now.first, tree=ground.thing[tree], level=level, candidates=candidates, on=now),
            f"{tree}/{level}",
        )
        return
    before = when(link["was"]["on"], ground.today)
    old = pen.first(
        ChainLink,
        before.first,
        tree=ground.thing[tree],
        level=level,
        candidates=_candidates(level, link["was"]["of"]),
        on=before,
    )
    ground.add(old, f"{tree}/{level}")
    ground.add(pen.correct(old, now.first, candidates=candidates, on=now))


def _write_limb(pen: Pen, tree: Table, row: Table, ground: Ground) -> None:
    given = {k: v for k, v in row.items() if k not in ("at", "renamed")}
    bearing, band, path = parse_address(row["at"])
    since = when(tree["limbs_since"], ground.today) if "limbs_since" in tree else None
    first = pen.first(
        Limb,
        since.first if since else ground.first_day,
        tree=ground.thing[tree["code"]],
        bearing=bearing,
        band=band,
        path=path,
        since=since,
        **given,
    )
    ground.add(first, f"{tree['code']}/{row['label']}")
    if "renamed" in row:
        new = dict(row["renamed"])
        day = when(new.pop("on"), ground.today)
        bearing, band, path = parse_address(new.pop("at"))
        ground.add(pen.correct(first, day.first, bearing=bearing, band=band, path=path, since=day, **new))
