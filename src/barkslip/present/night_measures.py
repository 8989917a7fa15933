"""Measures against a cold night in words: what they are, when each is done, and what they cost."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from barkslip.domain.night import MeasureNight, Measures, NightAir, NightVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts
from barkslip.present import units as u

#: Cover -> as a grower calls it.
COVER_WORDS = {
    "fleece_17": "light fleece", "fleece_50": "heavy fleece", "blanket": "blanket", "tarp": "tarp",
    "clear_pe": "clear film", "thermal_film": "thermal film", "aluminised_in": "aluminised film, metal inside",
    "aluminised_out": "aluminised film, metal outside", "pvc": "PVC film", "polyester": "polyester film",
    "glass": "glass or clear sheet",
}  # fmt: skip
LAMP_WORDS = {
    "incandescent": "lamp", "halogen": "halogen lamp", "led": "LED lamps", "ceramic": "ceramic heater",
    "heat_cable": "heat cable",
}  # fmt: skip
WRAP_WORDS = {
    "paper": "trunk wrapped in paper", "foam": "trunk wrapped in foam", "fibreglass": "trunk wrapped in fibreglass",
    "bank": "soil banked round the trunk",
}  # fmt: skip
#: When something is done -> what is done then.
STEP_WORDS = {
    "watered": "water the ground", "bared": "clear grass and mulch from under the tree",
    "wrap": "wrap or bank the trunk", "cover_on": "cover on, while the ground is still warm", "lamp_on": "lamp on",
    "bucket_placed": "hot water in", "bucket_refilled": "hot water filled anew", "water_on": "water on",
    "water_off": "water off", "lamp_off": "lamp off", "cover_off": "open the cover once the sun is on it",
}  # fmt: skip


def set_words(measures: Measures, units: UnitChoice = METRIC) -> str:
    """ "blanket to the ground, foot out 50 cm, and 100 W lamp"; "nothing" for the bare tree."""
    parts = [
        "ground watered the day before" if measures.watered else "",
        "ground cleared of grass and mulch" if measures.bared else "",
        WRAP_WORDS.get(measures.wrap, measures.wrap),
        _cover_words(measures, units),
        f"{shown_number(measures.lamp_w)}{u.NBSP}W {LAMP_WORDS.get(measures.lamp, measures.lamp)}"
        if measures.lamp_w
        else "",
        _bucket_words(measures, units),
        _water_words(measures, units),
    ]
    return counts.listed(parts) or "nothing"


def _cover_words(measures: Measures, units: UnitChoice) -> str:
    if not measures.cover:
        return ""
    name = COVER_WORDS.get(measures.cover, measures.cover.replace("_", " "))
    foot = f" open {u.length(measures.gap_m * 1000, units)} above the ground" if measures.gap_m else " to the ground"
    out = f" with its foot {u.length(measures.skirt_m * 1000, units)} out" if measures.skirt_m else ""
    return name + foot + out


def _bucket_words(measures: Measures, units: UnitChoice) -> str:
    if measures.bucket_l <= 0:
        return ""
    each = f"{u.volume(measures.bucket_l, units)} of water at {u.temperature(measures.bucket_c, units, 0)}"
    many = f"{measures.buckets}{u.NBSP}× " if measures.buckets > 1 else ""
    again = f", filled {counts.many(measures.refills + 1, 'time')}" if measures.refills else ""
    return f"{many}{each}{'' if measures.lid else ' without a lid'}{again}"


def _water_words(measures: Measures, units: UnitChoice) -> str:
    if measures.water_l_h <= 0:
        return ""
    how = "sprayed" if measures.spray else "let run"
    rate = f"{u.volume(measures.water_l_h, units)}/h"
    return f"{rate} of water at {u.temperature(measures.water_c, units, 0)} {how} under the tree"


def shown_number(value: float) -> str:
    """ "100", "7.5"."""
    return u.number(value, 0 if value >= 10 or value == int(value) else 1)


def steps(verdict: NightVerdict, rung: MeasureNight) -> tuple[tuple[str, str], ...]:
    """What is done when, in the order of the night: ("17:30", "cover on ..."); "by day" comes first."""
    out = [("by day", STEP_WORDS[part]) for part in ("watered", "bared", "wrap") if part in rung.measures.parts]
    timed = [
        (_rounded(at, what), STEP_WORDS.get(what, what.replace("_", " "))) for what, at in rung.times.items() if at
    ]
    if rung.times.get("bucket_placed"):
        timed += [(_rounded(at, "bucket"), STEP_WORDS["bucket_refilled"]) for at in _refills(verdict.air, rung)]
    order = list(STEP_WORDS.values())
    timed.sort(key=lambda s: (_of_night(s[0]), order.index(s[1]) if s[1] in order else 0))
    return (*out, *timed)


def _rounded(at: str, what: str) -> str:
    """A time to the ten minutes that a grower keeps: on a little early, off a little late."""
    tens = -(-_minutes(at) // 10) if what.endswith("_off") else _minutes(at) // 10
    return _at(tens * 10)


def _at(minutes: int) -> str:
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def _of_night(at: str) -> str:
    """Sorts local times from noon to noon."""
    return ("1" if at < "12:00" else "0") + at


def _refills(air: NightAir, rung: MeasureNight) -> list[str]:
    """Times of the fillings after the first, evenly spaced to sunrise."""
    count = rung.measures.refills
    if not count:
        return []
    placed, sunrise = _minutes(rung.times["bucket_placed"]), _minutes(clock(air, air.sunrise_s))
    every = ((sunrise - placed) % 1440) / (count + 1)
    return [_at(round(placed + every * (k + 1))) for k in range(count)]


def _minutes(at: str) -> int:
    hours, _, minutes = at.partition(":")
    return int(hours) * 60 + int(minutes)


def clock(air: NightAir, epoch_s: int) -> str:
    """Local time of a moment: "06:41"."""
    return (datetime.fromtimestamp(epoch_s, UTC) + timedelta(hours=air.utc_offset_h)).strftime("%H:%M")


def work_text(rung: MeasureNight, units: UnitChoice = METRIC) -> str:
    """ "15 min, 100 W (1.5 kWh), 19 L"."""
    parts = [f"{shown_number(rung.work_min)}{u.NBSP}min of work" if rung.work_min else ""]
    if rung.watts:
        parts.append(f"{shown_number(rung.watts)}{u.NBSP}W ({u.number(rung.kwh, 1)}{u.NBSP}kWh)")
    if rung.litres:
        parts.append(u.volume(round(rung.litres), units))
    return ", ".join(p for p in parts if p) or "no work"


def size_text(measures: Measures, units: UnitChoice = METRIC) -> str:
    """Size of the cover: "Cover 2.2 m high, 1.8 m wide."; empty without one."""
    if not measures.cover or not measures.cover_height_m or not measures.cover_width_m:
        return ""
    high, wide = (u.length(m * 1000, units) for m in (measures.cover_height_m, measures.cover_width_m))
    return f"Cover {high} high, {wide} wide."
