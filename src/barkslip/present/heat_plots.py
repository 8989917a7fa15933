"""The heat of all plots, one line each."""

from __future__ import annotations

from datetime import date

from barkslip.domain.heat import GRAFT_COVERS, PlotHeat
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, heat_cautions
from barkslip.present.heat import day_words
from barkslip.present.night import chance_words, spread_text


def plot_text(plot: PlotHeat, units: UnitChoice = METRIC) -> str:
    """A plot's hot day in one line."""
    if plot.high_c is None:
        return "not known: no forecast and nothing typed"
    words = f"air up to {spread_text(plot.high_c, units)}"
    if not plot.graft_code:
        return f"{words}; no young graft stands here"
    if plot.chance is not None:
        words += f"; {plot.graft_code} {_covered(plot)}: {chance_words(plot.chance)} chance of harm"
    if plot.better in GRAFT_COVERS and plot.danger in ("watch", "act"):
        words += f"; {GRAFT_COVERS[plot.better]} would do"
    elif plot.danger == "act":
        words += "; no cover tried would do"
    notes = [heat_cautions.unknown(code).split(":")[0].rstrip(".").lower() for code in plot.words]
    notes = [n for code, n in zip(plot.words, notes, strict=True) if code != "no_forecast"]
    return f"{words}; not known: {counts.listed(notes)}" if notes else words


def in_danger(plots: tuple[PlotHeat, ...]) -> tuple[PlotHeat, ...]:
    """Plots that Today speaks of."""
    return tuple(p for p in plots if p.danger in ("watch", "act"))


def plots_headline(plots: tuple[PlotHeat, ...], on: date | None = None) -> str:
    """The answer at the head of all plots. Unknown ones are never mild."""
    known = [p for p in plots if p.high_c is not None]
    if not known:
        return "The heat of the day is not known."
    day = known[0].day
    open_ = f"; {len(plots) - len(known)} not known" if len(known) < len(plots) else ""
    act = [p for p in known if p.danger == "act"]
    watch = [p for p in known if p.danger == "watch"]
    if not act and not watch:
        return f"No graft is in danger {day_words(day, on, 'on')} in {counts.many(len(known), 'plot')}{open_}."
    words = "Change covers" if act else "Watch the covers"
    found = act or watch
    where = found[0].plot_name if len(found) == 1 else f"{len(found)} of {counts.many(len(plots), 'plot')}"
    return f"{words} for {day_words(day, on)} in {where}{open_}."


def plots_lead(plots: tuple[PlotHeat, ...]) -> str:
    """What stands under it."""
    if not any(p.high_c is not None for p in plots):
        return "No plot has a forecast. Type the day below, or bring a forecast in under Weather."
    worst = max(plots, key=lambda p: p.chance or 0.0)
    if worst.chance is None or not worst.graft_code:
        return "No young graft stands in the plots; ask about one below."
    return (
        f"Most at risk: {worst.graft_code} {_covered(worst)}, {worst.plot_name}, {chance_words(worst.chance)} chance "
        "of harm as it stands."
    )


def _covered(plot: PlotHeat) -> str:
    return f"with {plot.cover}" if plot.cover else "without a cover over its film"


def swap_text(plot: PlotHeat) -> str:
    """What to do at the graft most at risk: "brown paper bag off, foil sleeve in its place"."""
    if plot.better not in GRAFT_COVERS:
        return "no cover tried would do: shade it" if plot.danger == "act" else "look at it at noon"
    on = GRAFT_COVERS[plot.better]
    return f"{plot.cover} off, {on} in its place" if plot.cover and plot.cover != on else f"put on: {on}"


def cautions(plots: tuple[PlotHeat, ...]) -> tuple[str, ...]:
    """Cautions that go with what is put on, and with the heat itself."""
    found = {"estimate_only"}
    for plot in in_danger(plots):
        found.update(heat_cautions.of_cover(plot.better))
    if any(p.high_c is not None and p.high_c.p90 >= heat_cautions.WORK_C for p in plots):
        found.add("people_heat")
    return heat_cautions.in_order(found)
