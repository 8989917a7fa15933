"""What to do before a hot day, and by when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from barkslip.domain.heat import HeatVerdict, SunAir
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, heat
from barkslip.present.heat import PHRASES
from barkslip.present.night import chance_words
from barkslip.present.tree import bearing_words

#: As many sides of the eight as make "all round".
_ALL_ROUND = 6


def do_head(verdict: HeatVerdict) -> str:
    """Heading of what to do."""
    goal = chance_words(verdict.target)
    if not heat.needs_change(verdict):
        return f"Within your {goal} as it stands"
    return f"No cover tried keeps it within {goal}" if verdict.choose is None else f"What keeps it within {goal}"


def do_text(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """What to do, in a sentence or two."""
    best, there = heat.put_forward(verdict), heat.compared(verdict)
    left = f"a {chance_words(best.chance_of_harm)} chance of harm is left"
    if not heat.needs_change(verdict) and verdict.air.source == "measured":
        return "The air of that day was read. What is left in doubt is the graft's own place, its cover and its wood."
    if not heat.needs_change(verdict):
        return "Look again when the forecast is fresh: hotter or stiller air, or a cover that has slipped, can turn it."
    if verdict.choose is None:
        shade = next((then for code, _, then in verdict.would_change if code == "shade"), None)
        known = shade is not None and heat.changed_cover(verdict) is best
        shaded = f": {chance_words(shade)} with half of the sun kept off" if known and shade is not None else ""
        return (
            f"Closest: {heat.choice_words(best.wrap)}; {left}. Shade it as well{shaded}. Wait with new grafts: ones "
            "set just before such heat have been lost nearly all (walnut and pecan, 1934; published)."
        )
    cooler = there.scion_max_c.p50 - best.scion_max_c.p50
    gain = f"the scion stays about {heat.size_text(cooler, units)} cooler, and " if cooler >= 0.05 else ""
    return f"{counts.opening(heat.choice_words(best.wrap))}: {gain}{left}."


def runner_text(verdict: HeatVerdict) -> str:
    """Other covers that would do, at most two: what is put forward may not be at hand. Empty without one."""
    words = [f"{heat.choice_words(c.wrap)}, {chance_words(c.chance_of_harm)} left" for c in heat.runners(verdict)]
    return f"Or: {', or '.join(words)}." if words else ""


def steps(verdict: HeatVerdict) -> tuple[tuple[str, str], ...]:
    """What is done when: ("by 05:40", "loose sleeve ..."). Empty if nothing needs to be done."""
    out = []
    dawn = f"by {sunrise(verdict.air)}" if sunrise(verdict.air) else "at dawn"
    if heat.needs_change(verdict):
        best, now = heat.put_forward(verdict), heat.present_cover(verdict)
        off = now is not None and now.wrap.cover not in ("none", "film") and now.wrap.cover != best.wrap.cover
        if off and now is not None:
            out.append((dawn, f"the {heat.cover_words(now.wrap)} off"))
        if best.wrap.cover in PHRASES and PHRASES[best.wrap.cover][2]:
            out.append((dawn, PHRASES[best.wrap.cover][2]))
    sides = heat.faces_in_danger(verdict)
    if sides and not verdict.graft.whitened:
        out.append((dawn, f"the limb's bark whitened {sides_words(tuple(f.face for f in sides))}"))
    return tuple(out)


def sides_words(faces: tuple[str, ...]) -> str:
    """ "on its west and north-west sides"; "all round" for most of them."""
    if len(faces) >= _ALL_ROUND:
        return "all round"
    return f"on its {counts.listed(bearing_words(f) for f in faces)} side{'s' if len(faces) > 1 else ''}"


def sunrise(air: SunAir) -> str:
    """The last full hour before the sun stands above the horizon: "05:00"; "" where it does not rise."""
    for i in range(1, len(air.sun_up_deg)):
        if air.sun_up_deg[i] > 0.0 >= air.sun_up_deg[i - 1]:
            return clock(air, air.time_s[i - 1])
    return ""


def clock(air: SunAir, epoch_s: int) -> str:
    """Local time of a moment: "06:00"."""
    return (datetime.fromtimestamp(epoch_s, UTC) + timedelta(hours=air.utc_offset_h)).strftime("%H:%M")
