"""Today and the walk-round."""

from __future__ import annotations

from datetime import date

from barkslip.app.cards import graft_cards, open_on, tree_cards
from barkslip.app.context import Context
from barkslip.app.derive import trees_now
from barkslip.app.garden import plots_in_order
from barkslip.app.names import Names
from barkslip.app.weather import plot_days
from barkslip.domain.cards import GraftCard, PlotToday, Today, TreeCard, Walk
from barkslip.domain.due import Due, TreeNow
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.tree import Tree
from barkslip.engines.care import shade_due
from barkslip.fieldbook import lists
from barkslip.fieldbook.reader import Reader

#: Things due that Today lists per plot; the walk-round has them all.
LISTED = 12
#: Looking back folds all looks anew; above this many grafts it is refused rather than slow.
MOST_LOOKED_BACK = 3000
#: Days of weather shown before and after the day.
LAST_DAYS, COMING_DAYS = 3, 7


def today(ctx: Context, on: date | None = None) -> Today:
    """What is due by plot and in walking order, what waits for a verdict, and the cold and heat around the day.

    Parameters
    ----------
    on : date or None
        Another day than today: a coming day shows what will be due then if nothing is done, a past day what was due
        by what had been seen and done until then.
    """
    garden = ctx.garden()
    current = ctx.today(garden)
    day = on or current
    names = ctx.names
    with ctx.book.read() as reader:
        plots = plots_in_order(reader)
        past = _look_back(reader, ctx, day) if day < current else None
        tally = lists.tally(reader, day) if past is None else _tally(past, day)
        out = []
        for plot in plots:
            due = (
                lists.due_on(reader, plot.thing, day, limit=LISTED + 1)
                if past is None
                else _due_of(past, plot.thing, day)[: LISTED + 1]
            )
            out.append(_plot_today(ctx, reader, garden, plot, day, due, tally.get(plot.thing, (0, 0, 0)), names, past))
    return Today(
        on=day,
        garden=garden,
        plots=tuple(out),
        waiting=sum(p.waiting for p in out),
        due=sum(p.due for p in out),
        overdue=sum(t[1] for t in tally.values()),
        cut=any(tally.get(p.thing, (0, 0, 0))[0] > LISTED for p in plots),
    )


def _look_back(reader: Reader, ctx: Context, day: date) -> list[TreeNow]:
    grafts = int(reader.rows("SELECT count(*) FROM graft_now")[0][0])
    if grafts > MOST_LOOKED_BACK:
        raise InputError(
            "Looking back at a past day is only offered for smaller gardens.",
            given=f"{day.isoformat()}, {grafts} grafts",
            allowed=f"{MOST_LOOKED_BACK} grafts, or a day from today on",
            next_step="Open the graft or the tree: its history shows that day.",
            field="on",
        )
    return trees_now(reader, [t.thing for t in reader.every(Tree)], ctx.care, as_of=day)


def _tally(past: list[TreeNow], day: date) -> dict[str, tuple[int, int, int]]:
    out: dict[str, tuple[int, int, int]] = {}
    for tree in past:
        due = [*open_on(tree.due, day), *(d for g in tree.grafts for d in open_on(g.due, day))]
        late = sum(1 for d in due if d.closes is not None and d.closes < day)
        waiting = sum(1 for g in tree.grafts if g.standing.word == "waiting")
        was = out.get(tree.plot, (0, 0, 0))
        out[tree.plot] = (was[0] + len(due), was[1] + late, was[2] + waiting)
    return out


def _due_of(past: list[TreeNow], plot: str, day: date) -> list[tuple[str, str | None, Due]]:
    found: list[tuple[str, str, str | None, Due]] = []
    for tree in past:
        if tree.plot == plot:
            found += [(tree.walk_key, tree.tree, None, d) for d in open_on(tree.due, day)]
            found += [(g.walk_key, tree.tree, g.graft, d) for g in tree.grafts for d in open_on(g.due, day)]
    found.sort(key=lambda f: (f[0], f[3].opens))
    return [f[1:] for f in found]


def _plot_today(
    ctx: Context,
    reader: Reader,
    garden: Garden,
    plot: Plot,
    day: date,
    due: list[tuple[str, str | None, Due]],
    tally: tuple[int, int, int],
    names: Names,
    past: list[TreeNow] | None,
) -> PlotToday:
    last, coming, source, forecast = plot_days(ctx, reader, plot, garden, day, LAST_DAYS, COMING_DAYS)
    listed = due[:LISTED]
    order = list(dict.fromkeys(tree for tree, _, _ in listed))
    trees = reader.many(Tree, order)
    cards = {c.tree.thing: c for c in tree_cards(reader, [trees[t] for t in order], names, day)}
    if past is not None:
        own = {t.tree: open_on(t.due, day) for t in past}
        cards = {k: _with_due(c, own.get(k, ())) for k, c in cards.items()}
    things = list(dict.fromkeys(graft for _, graft, _ in listed if graft))
    grafts = reader.many(Graft, things)
    by_tree: dict[str, list[GraftCard]] = {}
    for card in graft_cards(reader, [grafts[t] for t in things], names, day, now=past):
        by_tree.setdefault(card.tree.thing, []).append(card)
    shade = shade_due(
        [(date.fromisoformat(d.day), d.high_c) for d in coming if d.high_c is not None],
        ctx.knowledge.value("healing.heat.sustained"),
    )
    if shade is not None:
        cards = {k: _with_due(c, (shade, *c.due)) if by_tree.get(k) else c for k, c in cards.items()}
    return PlotToday(
        plot=plot,
        trees=tuple((cards[t], tuple(by_tree.get(t, ()))) for t in order),
        waiting=tally[2],
        due=tally[0],
        last=last,
        coming=coming,
        source=source,
        forecast_source=forecast,
    )


def _with_due(card: TreeCard, due: tuple[Due, ...]) -> TreeCard:
    from dataclasses import replace

    return replace(card, due=due)


def walk(ctx: Context, *, at: int = 0, graft: str = "") -> Walk:
    """One stop of the walk-round.

    Parameters
    ----------
    at : int
        Place from 0; taken if `graft` is empty.
    graft : str
        Code of the graft to stop at.
    """
    garden = ctx.garden()
    day = ctx.today(garden)
    names = ctx.names
    with ctx.book.read() as reader:
        stops = lists.walk_stops(reader)
        thing = reader.by_code(Graft, graft).thing if graft else ""
        stop = lists.walk_stop(reader, at=max(at, 0), graft=thing)
        if stop is None:
            return Walk(day, garden, min(max(at, 0), stops), stops, None, (), "", "", ())
        place, here, before, after = stop
        found = reader.many(Graft, [here, before, after])
        card = graft_cards(reader, [found[here]], names, day)[0]
        tree_due = lists.due_of(reader, trees=[card.tree.thing]).get(card.tree.thing, [])
        looks = reader.every(Look, "graft = :graft", order="on_first DESC, id DESC", graft=here)
        return Walk(
            on=day,
            garden=garden,
            place=place,
            stops=stops,
            card=card,
            tree_due=open_on(tree_due, day),
            before=found[before].code if before in found else "",
            after=found[after].code if after in found else "",
            last_looks=tuple(looks[:3]),
        )
