"""What is done before a hot day, and when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from barkslip.domain.heat import HeatVerdict, SunAir
from barkslip.present import counts, heat
from barkslip.present.heat import PHRASES
from barkslip.present.tree import bearing_words

#: As many sides of the eight as make "all round".
_ALL_ROUND = 6


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
