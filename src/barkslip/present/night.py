"""A cold night in words: the verdict first, then the least to do, what would change it, what is not known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.domain.night import (
    ORGANS,
    MeasureNight,
    NightTree,
    NightVerdict,
    OffsetPart,
    OrganNight,
    PlotTonight,
    Spread,
)
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import cautions, counts, dates
from barkslip.present import units as u
from barkslip.present.night_measures import set_words, shown_number, work_text

_GUESSED = {
    "wind_m_s": "wind", "cloud": "cloud", "dew_c": "dew point", "dew_point_c": "dew point", "sun_w_m2": "sun",
    "air_c": "air",
}  # fmt: skip
#: An offset leans on too few nights below this many.
_FEW_NIGHTS = 10


def organ_words(organ: str, tree: NightTree | None = None) -> str:
    """What a part of the tree is called: "young grafts" where there are some, "flowers and twigs" in bloom."""
    if organ == "leaf_exposed":
        return "new growth" if tree is not None and tree.flush else "outer leaves"
    if organ == "leaf_inner":
        return "inner leaves"
    if organ == "twig" and tree is not None:
        if tree.bloom:
            return "flowers and twigs"
        return "young grafts" if tree.young_graft else "twigs"
    return ORGANS.get(organ, organ)


def chance_words(chance: float) -> str:
    """ "7 in 10", "1 in 12", "less than 1 in 100": never rounded to never or to always."""
    if chance < 0.01:
        return f"less than 1{u.NBSP}in{u.NBSP}100"
    if chance < 0.15:
        of = 1 / chance
        return f"1{u.NBSP}in{u.NBSP}{round(of) if of < 20 else round(of, -1):.0f}"
    if chance >= 0.95:
        return f"more than 9{u.NBSP}in{u.NBSP}10"
    return f"{int(chance * 10 + 0.5)}{u.NBSP}in{u.NBSP}10"


def headline(verdict: NightVerdict) -> str:
    """ "Young grafts: 7 in 10 chance of harm." of the part most at risk."""
    worst = verdict.worst
    return f"{counts.opening(organ_words(worst.organ, verdict.tree))}: {chance_words(worst.chance)} chance of harm."


def other_organs(verdict: NightVerdict) -> str:
    """The other parts in one line: "Inner leaves 8 in 10, trunk bark 4 in 10."; empty if there are none."""
    words = [f"{organ_words(o.organ, verdict.tree)} {chance_words(o.chance)}" for o in verdict.organs[1:]]
    return counts.sentence(", ".join(words))


def spread_text(spread: Spread, units: UnitChoice = METRIC) -> str:
    """ "−5.3 °C (−6.9 to −3.8)"."""
    low, high = u.bare_temperature(spread.p10, units), u.bare_temperature(spread.p90, units)
    return f"{u.temperature(spread.p50, units)} ({low} to {high})"


def coldest_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """ "Coldest 05:40: outer leaves −5.3 °C (−6.9 to −3.8), air −3.6 °C."."""
    worst = verdict.worst
    return (
        f"Coldest {worst.coldest_at}: {organ_words(worst.organ, verdict.tree)} {spread_text(worst.low_c, units)}, "
        f"air {u.temperature(verdict.air_low_c.p50, units)}."
    )


def margin_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """How far below the temperature at which harm starts, and for how long."""
    worst = verdict.worst
    margin, hours = worst.margin_k, worst.hours_below_critical
    size = "as cold as" if round(margin.p50, 1) == 0 else f"{_size(margin.p50, units)} {_side(margin.p50)}"
    span = f"{_signed(margin.p10, units)} to {_signed(margin.p90, units)}"
    below = f", for about {u.hours(round(hours.p50 * 2) / 2)}" if hours.p50 >= 0.25 else ""
    return f"That is {size} where harm starts ({span}){below}."


def _side(margin_k: float) -> str:
    return "below" if margin_k < 0 else "above"


def _signed(difference_k: float, units: UnitChoice) -> str:
    return u.difference(difference_k, units).split(u.NBSP)[0]


def _size(difference_k: float, units: UnitChoice, decimals: int = 1) -> str:
    """A difference without its sign, as a neighbour would say it: "2.6 °C"."""
    size = abs(difference_k) if units.temperature == "°C" else abs(k_to_f_difference(difference_k))
    return f"{u.number(size, decimals)}{u.NBSP}{units.temperature}"


def frost_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """Still or windy, and what that means tonight; empty if it was not told."""
    leaf = next((o for o in verdict.organs if o.organ == "leaf_exposed"), None)
    gap = leaf.low_c.p50 - verdict.air_low_c.p50 if leaf is not None else 0.0
    below = f", about {_size(gap, units)} tonight" if gap <= -0.1 else ""
    near = f", about {_size(gap, units)} below it tonight" if gap <= -0.1 else ""
    if verdict.frost == "still frost":
        return (
            f"Still frost: the air hardly moves, so leaves give their heat to the sky and lie below the air{below}. "
            "Cold air settles in low places; what holds back the ground's warmth helps most."
        )
    if verdict.frost == "windy frost":
        return (
            f"Windy frost: moving air keeps leaves near its own temperature{near}. Covers gain little and must be "
            "held down; sprayed water cools in dry wind."
        )
    if verdict.frost == "no frost":
        low = verdict.air_low_c
        return (
            f"The middle of the spread stays clear of frost, but one night in ten like this has air of "
            f"{u.temperature(low.p10, units)} or less, and outer leaves lie below the air{below}."
        )
    return ""


def offset_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """What was added for the plot, from how many of its own nights."""
    offset = verdict.air.offset
    if offset is None or not offset.used:
        return "No offset is counted: the air is taken as this plot's own, or none is known."
    if offset.used == "typed":
        return (
            f"Counted for this plot: {_than(u.colder_or_warmer(offset.used_k, units))} the garden's screen, as you "
            "believe; no nights of its own were measured."
        )
    part = next((p for p in offset.parts if p.kind == offset.used), None)
    size = f"{_than(u.colder_or_warmer(offset.used_k, units))} {offset.site}"
    return f"Counted for {offset.plot}: {size}, from {_nights_text(part, units)}." if part is not None else ""


def _than(words: str) -> str:
    return f"{words} as" if words == "as cold" else f"{words} than"


def _nights_text(part: OffsetPart, units: UnitChoice) -> str:
    words = counts.many(part.nights, f"{part.kind} night", f"{part.kind} nights") + " of its own"
    if part.low_k is None or part.high_k is None:
        return f"{words}: too few for a range"
    span = f"95{u.NBSP}%: {_signed(part.low_k, units)} to {u.difference(part.high_k, units)}"
    return f"{words} ({span}{'; few' if part.nights < _FEW_NIGHTS else ''})"


def air_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """Where the air of the night comes from, how surely, and what was filled in."""
    air = verdict.air
    said = counts.sentence(air.source_words)
    low, place = _plus(air.low_sd_k, units), _plus(air.site_sd_k, units)
    doubt = f"Allowed for: {low} in the low, {place} in the tree's own place."
    guessed = counts.listed(dict.fromkeys(_GUESSED.get(name, name) for name in air.guessed))
    filled = f"Not given and filled in: {guessed}." if guessed else ""
    return " ".join(part for part in (said, doubt, filled) if part)


def _plus(sd_k: float, units: UnitChoice) -> str:
    return f"±{_size(sd_k, units)}"


def title(verdict: NightVerdict, place: str = "") -> str:
    """Which tree and which night: "Thornback, Lower paddock, 13–14 Sep 2024". `place` goes before the plot's code."""
    who = verdict.tree.name or counts.opening(verdict.tree.species) or "A small tree"
    return ", ".join(part for part in (who, place or verdict.plot, night_text(verdict.air.day)) if part)


def kind_text(verdict: NightVerdict) -> str:
    """By which of a tree's kinds it is judged; "" if it has one only."""
    tree = verdict.tree
    return f"Judged by the tenderest of its {tree.kinds} kinds: {tree.species}." if tree.kinds > 1 else ""


def night_text(day: str) -> str:
    """The night after a day: "13–14 Sep 2024", "31 Aug – 1 Sep 2024"."""
    first = date.fromisoformat(day)
    return dates.range_text(first, first + timedelta(days=1))


def never_together(rung: MeasureNight) -> bool:
    """True for a set that nobody may carry out: water and electricity in one tree."""
    return "water_and_electricity" in cautions.codes(rung)


def least_place(verdict: NightVerdict) -> int | None:
    """Place of the least set; None if nothing that may be done is enough."""
    place = verdict.least
    return None if place is None or never_together(verdict.ladder[place]) else place


def runner_place(verdict: NightVerdict) -> int | None:
    """Place of the next best set, beside a least one; None without one that may be done."""
    place = verdict.runner_up
    if place is None or not least_place(verdict) or never_together(verdict.ladder[place]):
        return None
    return place


def closest_rung(verdict: NightVerdict) -> MeasureNight | None:
    """The set that leaves the smallest chance; None if none leaves less than the bare tree."""
    rungs = [r for r in verdict.ladder[1:] if r.chance < verdict.ladder[0].chance and not never_together(r)]
    return min(rungs, key=lambda r: r.chance) if rungs else None


def shown_rung(verdict: NightVerdict) -> MeasureNight | None:
    """The set to put before the grower: the least one, else the one that comes closest; None if none is needed."""
    place = least_place(verdict)
    if place == 0:
        return None
    return closest_rung(verdict) if place is None else verdict.ladder[place]


def least_head(verdict: NightVerdict) -> str:
    """Heading of what to do."""
    goal, place = chance_words(verdict.target), least_place(verdict)
    if place == 0:
        return f"Within your {goal} as it stands"
    if place is not None:
        return f"The least that keeps it within {goal}"
    if closest_rung(verdict) is None:
        return "Nothing tried helps tonight"
    return f"Nothing tried keeps it within {goal}"


def least_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """What to do, in a sentence or two."""
    if least_place(verdict) == 0:
        return (
            "The plot's own place and the spread of the low are counted in that. Look again at dusk: a clearer sky, "
            "less wind or an older forecast than you think can turn it."
        )
    rung = shown_rung(verdict)
    if rung is None:
        return "Protect what matters most in another way, such as pots under a roof, and look at it in the morning."
    left = f"a {chance_words(rung.chance)} chance of harm is left"
    if least_place(verdict) is None:
        return f"Closest: {set_words(rung.measures, units)}; {left}."
    return f"{counts.opening(set_words(rung.measures, units))}; {left}."


def runner_text(verdict: NightVerdict, units: UnitChoice = METRIC) -> str:
    """The next best set; empty without one."""
    place = runner_place(verdict)
    if not place:
        return ""
    rung = verdict.ladder[place]
    return f"Or: {set_words(rung.measures, units)}; {chance_words(rung.chance)} left, {work_text(rung, units)}."


def worse_texts(verdict: NightVerdict, units: UnitChoice = METRIC) -> tuple[str, ...]:
    """Sets that leave the tree colder than nothing does, said plainly."""
    part = organ_words(verdict.worst.organ, verdict.tree)
    return tuple(
        f"{counts.opening(set_words(r.measures, units))} is colder than nothing tonight: {part} "
        f"{u.difference(r.gain_k.p50, units)} ({_span(r.gain_k, units)})."
        for r in verdict.ladder
        if r.worse
    )


def _span(spread: Spread, units: UnitChoice) -> str:
    return f"{_signed(spread.p10, units)} to {_signed(spread.p90, units)}"


@dataclass(frozen=True, slots=True)
class LadderRow:
    """One set of measures as a row. `kind` is "nothing", "least", "closest", "next", "worse", "never" or ""."""

    words: str
    kind: str
    note: str
    gain: str
    chance: str
    watts: str
    litres: str
    work: str
    hazards: tuple[str, ...]
    rung: MeasureNight


#: What stands beside a row of each kind.
KIND_WORDS = {
    "nothing": "", "least": "the least that is enough", "closest": "comes closest", "next": "the next",
    "worse": "colder than nothing", "never": "never do this: water and electricity together", "": "",
}  # fmt: skip


def ladder_rows(verdict: NightVerdict, units: UnitChoice = METRIC) -> tuple[LadderRow, ...]:
    """The ladder of measures, nothing first."""
    least, runner = least_place(verdict), runner_place(verdict)
    closest = closest_rung(verdict) if least is None else None
    rows = []
    for place, rung in enumerate(verdict.ladder):
        bare = not rung.measures.parts
        kind = "never" if never_together(rung) else "worse" if rung.worse else ""
        if rung is closest:
            kind = "closest"
        elif place and place in (least, runner):
            kind = "least" if place == least else "next"
        rows.append(
            LadderRow(
                words=set_words(rung.measures, units),
                kind="nothing" if bare else kind,
                note=_note(verdict, rung, kind),
                gain="–" if bare else f"{_signed(rung.gain_k.p50, units)} ({_span(rung.gain_k, units)})",
                chance=u.percent(rung.chance),
                watts=shown_number(rung.watts) if rung.watts else "",
                litres=u.volume(round(rung.litres), units).split(u.NBSP)[0] if rung.litres else "",
                work=shown_number(rung.work_min) if rung.work_min else "",
                hazards=cautions.codes(rung),
                rung=rung,
            )
        )
    return tuple(rows)


def _note(verdict: NightVerdict, rung: MeasureNight, kind: str) -> str:
    """What stands beside a row. A wrap acts on the trunk alone, so the trunk's chances are said."""
    words = KIND_WORDS[kind]
    bark = rung.chances.get("bark")
    if rung.measures.wrap and bark is not None and verdict.worst.organ != "bark":
        was = verdict.ladder[0].chances.get("bark", bark)
        same = u.percent(was) == u.percent(bark)
        trunk = "acts on the trunk alone" if same else f"trunk bark: {u.percent(bark)} left of {u.percent(was)}"
        words = "; ".join(part for part in (words, trunk) if part)
    return words


def difference_unit(units: UnitChoice = METRIC) -> str:
    """Unit of differences of temperature, for the head of a column."""
    return "K" if units.temperature == "°C" else "°F"


def caution_codes(verdict: NightVerdict) -> tuple[str, ...]:
    """Cautions of everything on the ladder, each once."""
    found = set(verdict.cautions)
    for rung in verdict.ladder:
        found.update(cautions.codes(rung))
    return cautions.in_order(found)


def shown_cautions(verdict: NightVerdict) -> tuple[str, ...]:
    """Cautions to stand beside the set that is put before the grower."""
    rung = shown_rung(verdict)
    return cautions.in_order({*(cautions.codes(rung) if rung is not None else ()), "estimate_only"})


# -- around the verdict -------------------------------------------------------------------------------------------


def changes(verdict: NightVerdict, units: UnitChoice = METRIC) -> tuple[str, ...]:
    """What would turn the answer: "Wind 2.0 m/s stronger: 8 in 10, not 9 in 10."."""
    sd_k = max(verdict.air.low_sd_k, 0.5)
    named = {
        "more_wind": f"wind {u.speed(2.0, units)} stronger",
        "cloud": "cloud over most of the sky",
        "lower_low": f"a low {_size(sd_k, units)} lower",
        "higher_low": f"a low {_size(sd_k, units)} higher",
        "dry_air": f"air drier by {_size(5.0, units, 0)} of dew point",
    }
    out = []
    for code, now, then in verdict.would_change:
        words = counts.opening(named.get(code, code.replace("_", " ")))
        if chance_words(now) == chance_words(then):
            out.append(f"{words}: hardly changes it.")
        else:
            out.append(f"{words}: {chance_words(then)}, not {chance_words(now)}.")
    return tuple(out)


def critical_text(organ: OrganNight, units: UnitChoice = METRIC) -> str:
    """Where harm starts, with its range, and what hardening lowers it by."""
    words = u.value_text(organ.critical, units)
    if organ.hardening_k:
        words += f", {_size(organ.hardening_k, units)} lower for hardening"
    return words


def status_words(organ: OrganNight) -> str:
    """How that is known; a stand-in is called so."""
    return f"{organ.critical.status}, stands in for an unknown" if organ.stand_in else organ.critical.status


def plot_text(plot: PlotTonight, units: UnitChoice = METRIC) -> str:
    """A plot's night in one line."""
    if plot.low is None:
        return "not known: no forecast and nothing typed"
    kind = f"{plot.frost}: " if plot.frost else ""
    words = f"{kind}air {spread_text(plot.low, units)}"
    if plot.chance is not None and plot.worst_organ:
        words += f"; {organ_words(plot.worst_organ)} {chance_words(plot.chance)} chance of harm"
    notes = [cautions.unknown(code).split(":")[0].lower() for code in plot.words if code != "no_forecast"]
    return f"{words}; not known: {counts.listed(notes)}" if notes else words


def plots_headline(plots: tuple[PlotTonight, ...]) -> str:
    """ "Still frost tonight in 2 of 4 plots."; the answer at the head of all plots. Unknown ones are never mild."""
    known = [p for p in plots if p.low is not None]
    if not known:
        return "The night is not known."
    open_ = f"; {len(plots) - len(known)} not known" if len(known) < len(plots) else ""
    cold = [p for p in known if p.frost in ("still frost", "windy frost")]
    if not cold:
        return f"No frost in the middle of the spread in {counts.many(len(known), 'plot')}{open_}."
    kinds = counts.opening(counts.listed(dict.fromkeys(p.frost for p in cold)))
    where = cold[0].plot_name if len(cold) == 1 else f"{len(cold)} of {counts.many(len(plots), 'plot')}"
    return f"{kinds} tonight in {where}{open_}."


def plots_lead(plots: tuple[PlotTonight, ...]) -> str:
    """What stands under it."""
    if not any(p.low is not None for p in plots):
        return "No plot has a forecast. Type what you see below, or bring a forecast in under Weather."
    worst = max(plots, key=lambda p: p.chance or 0.0)
    if worst.chance is None or not worst.worst_organ:
        return "Ask about a tree to see what the cold does to it."
    part = organ_words(worst.worst_organ)
    return f"Most at risk: {worst.plot_name}, {part}, {chance_words(worst.chance)} chance of harm without any measure."
