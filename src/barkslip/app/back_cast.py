"""Past grafts beside what the clock would have said of them, and what they say about the clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.days import forget
from barkslip.app.kind_curve import curve_for
from barkslip.app.past_grafts import SetGraft, hours_since, read_grafts, state_of
from barkslip.app.plot_offset import number
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.timing import ClockLearned, GraftPlan, HealingCurve
from barkslip.fieldbook import lists

if TYPE_CHECKING:
    from barkslip.engines.clock_learn import PastGraft
    from barkslip.engines.sun_hours import SunHours

#: Grafts that are looked at, the newest first: more tell little more and take long.
MOST_GRAFTS = 300
MOST_KEPT = 20
#: Members of the ensemble: enough that some hundred still speak after dozens of grafts.
MEMBERS = 500
#: Limbs thicker than this are told to five millimetres [mm].
COARSE_MM = 20.0


def learned_clock(ctx: Context, species: str) -> ClockLearned:
    """What the garden's own takes say about the clock of one kind; worked out once and kept.

    Parameters
    ----------
    species : str
        As a grower writes it; every graft of the same curve counts ("lemon" and "citrus" are one).

    Raises
    ------
    InputError
        If nothing is known of the species.
    """
    curve = _curve(ctx, species)
    with ctx.book.read() as reader:
        key = f"learned {curve.species} {state_of(ctx, reader)}"
    if key not in ctx.kept:
        from barkslip.engines import clock_learn

        found = clock_learn.learn(curve, past_grafts(ctx, curve.species), ctx.knowledge.value, members=MEMBERS)
        forget(ctx, "learned ", MOST_KEPT)
        ctx.kept[key] = found
    kept: ClockLearned = ctx.kept[key]
    return kept


def learned_kept(ctx: Context, species: str) -> ClockLearned | None:
    """As `learned_clock` if it has been worked out already and still holds; None otherwise. Takes no time."""
    curve = _curve(ctx, species)
    with ctx.book.read() as reader:
        found: ClockLearned | None = ctx.kept.get(f"learned {curve.species} {state_of(ctx, reader)}")
    return found


def kinds_set(ctx: Context) -> tuple[str, ...]:
    """Kinds with a curve of which the book has grafts, commonest first."""
    with ctx.book.read() as reader:
        found = [one.curve.species for one in _newest(ctx, reader.every(Graft)) if one.curve is not None]
    return tuple(sorted(dict.fromkeys(found), key=lambda name: -found.count(name)))


def _curve(ctx: Context, species: str) -> HealingCurve:
    curve = curve_for(ctx.knowledge, species)
    if curve is None:
        raise InputError(
            "Nothing is known of how this kind of tree heals.",
            given=species or "(nothing)",
            allowed=", ".join(row.cell("name") for row in ctx.knowledge.table("healing_kinds")),
            next_step="Choose one of these, or go by the days that are usual for the method.",
            field="species",
        )
    return curve


def _newest(ctx: Context, grafts: Sequence[Graft]) -> list[SetGraft]:
    newest = sorted(grafts, key=lambda g: (g.set_on.first, g.code), reverse=True)[:MOST_GRAFTS]
    with ctx.book.read() as reader:
        return read_grafts(ctx, reader, newest)


def past_grafts(ctx: Context, species: str) -> list[PastGraft]:
    """Grafts of one kind with what became of them and the hours that came, newest first.

    Parameters
    ----------
    species : str
        Key of a curve.
    """
    from barkslip.engines.clock_learn import PastGraft

    days = round(number(ctx.knowledge.value, "timing.look_days"))
    with ctx.book.read() as reader:
        grafts = reader.every(Graft)
    found = [one for one in _newest(ctx, grafts) if one.curve is not None and one.curve.species == species]
    with ctx.book.read() as reader:
        stood = lists.standings(reader, [one.graft.thing for one in found])
    hours: dict[tuple[str, date | None], SunHours | None] = {}
    out = []
    for one in found:
        where = (one.plot.thing, one.day)
        if where not in hours:
            hours[where] = hours_since(ctx, one, days)[0]
        stand = stood.get(one.graft.thing)
        out.append(
            PastGraft(
                one.graft.code,
                (one.day or one.graft.set_on.first).isoformat(),
                _rounded(one.asked.plan),
                stand.word if stand is not None else "waiting",
                hours[where],
                one.asked.method,
            )
        )
    return out


def _rounded(plan: GraftPlan) -> GraftPlan:
    """The plan with thicknesses as they are told, not measured, so that grafts of a campaign are one question: a
    millimetre on a scion and five on a limb move the union by less than the weather's error."""
    limb = 5.0 * round(plan.limb_mm / 5.0) if plan.limb_mm > COARSE_MM else round(plan.limb_mm)
    return replace(plan, limb_mm=float(limb), scion_mm=float(round(plan.scion_mm)), tree="", bark="")
