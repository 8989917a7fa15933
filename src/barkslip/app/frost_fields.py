"""What is typed about a cold night: the tree, and what the grower has against the cold."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from barkslip.app.door import Door
from barkslip.domain.errors import InputError
from barkslip.domain.night import COVERS, FRUIT_STATES, GROUNDS, LAMPS, SOIL_STATES, SOILS, WRAPS, Measures, NightTree
from barkslip.domain.units import c_to_f, convert, parse_quantity, unit_named

if TYPE_CHECKING:
    from barkslip.domain.tree import Tree
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Spellings of covers that growers use.
_COVER_WORDS = {
    "fleece": "fleece_17", "frost cloth": "fleece_50", "heavy fleece": "fleece_50", "sheet": "blanket",
    "bedsheet": "blanket", "plastic": "clear_pe", "clear plastic": "clear_pe", "polythene": "clear_pe",
    "tarpaulin": "tarp", "aluminised": "aluminised_out", "hessian": "blanket", "burlap": "blanket",
}  # fmt: skip
_WATTS = re.compile(r"^(?:(\d+)\s*[x×]\s*)?(\d+(?:[.,]\d+)?)\s*w(?:atts?)?$", re.IGNORECASE)
_BULBS = re.compile(r"^(?:(\d+)\s*[x×]?\s+)?([a-z]\w*)$", re.IGNORECASE)
_BUCKET = re.compile(r"^(?:(\d+)\s*[x×]\s*)?([^@]+?)\s*(?:@\s*(.+))?$", re.IGNORECASE)
#: Size taken for a tree whose size is not written down [m]; said as unknown.
USUAL_SIZE_M = (2.0, 1.5)


def read_tree(at: Door, fields: Fields, tree: Tree | None) -> NightTree:
    """The tree that is asked about: typed values before those of the book.

    Raises
    ------
    InputError
    """
    height = at.length_mm(fields, "height", metric="m")
    width = at.length_mm(fields, "width", metric="m")
    if tree is not None:
        height = height if height is not None else tree.height_mm
        width = width if width is not None else tree.spread_mm
    return NightTree(
        species=at.text(fields, "species") or (tree.fruit if tree is not None else ""),
        height_m=USUAL_SIZE_M[0] if height is None else height / 1000.0,
        width_m=USUAL_SIZE_M[1] if width is None else width / 1000.0,
        name=tree.name if tree is not None else "",
        young_graft=at.yes(fields, "young_graft"),
        flush=at.yes(fields, "flush"),
        bloom=at.yes(fields, "bloom"),
        fruit=at.choice(fields, "fruit", FRUIT_STATES, "none"),
        chill_h=at.number(fields, "chill_h", 0, 500, unit="h"),
        soil=at.choice(fields, "soil", SOILS, "sand"),
        soil_state=at.choice(fields, "soil_state", SOIL_STATES, "moist"),
        ground=at.choice(fields, "ground", GROUNDS, "bare"),
    )


def read_measures(at: Door, fields: Fields, known: Knowledge) -> Measures:
    """What the grower names; everything empty if nothing is named.

    Parameters
    ----------
    fields : mapping
        cover, cover_height, cover_width, skirt, gap, lamps ("100W", "25 c9"), lamp, bucket ("19L@60C", "2x19L@60C"),
        refills, lid (no), water ("38L@15C": litres an hour), spray, wrap, watered, bared.

    Raises
    ------
    InputError, QuestionError
    """
    watts, kind = _lamps(at.text(fields, "lamps"), known)
    buckets, litres, warm = _bucket(at, at.text(fields, "bucket"), "bucket", 60.0)
    _, rate, cool = _bucket(at, at.text(fields, "water"), "water", 15.0)
    cover = at.text(fields, "cover").lower()
    cover = _COVER_WORDS.get(cover, cover.replace(" ", "_").replace("-", "_"))
    if cover and cover not in COVERS:
        raise InputError(
            "Nothing is known of that cover.",
            given=at.text(fields, "cover"),
            allowed=", ".join((*COVERS, *_COVER_WORDS)),
            next_step="Choose the nearest; each has its own range.",
            field="cover",
        )
    return Measures(
        cover=cover,
        cover_height_m=(at.length_mm(fields, "cover_height", metric="m") or 0.0) / 1000.0,
        cover_width_m=(at.length_mm(fields, "cover_width", metric="m") or 0.0) / 1000.0,
        skirt_m=(at.length_mm(fields, "skirt", metric="m", most_mm=5000) or 0.0) / 1000.0,
        gap_m=(at.length_mm(fields, "gap", metric="cm", most_mm=5000) or 0.0) / 1000.0,
        lamp_w=watts,
        lamp=at.choice(fields, "lamp", LAMPS, kind),
        bucket_l=litres,
        bucket_c=warm,
        buckets=buckets,
        lid=at.text(fields, "lid").lower() not in ("no", "false", "0") or "lid" not in fields,
        refills=at.count(fields, "refills", most=12) or 0,
        water_l_h=rate,
        water_c=cool,
        spray=at.yes(fields, "spray"),
        wrap=at.choice(fields, "wrap", ("", *WRAPS)),
        watered=at.yes(fields, "watered"),
        bared=at.yes(fields, "bared"),
    )


def read_target(at: Door, fields: Fields) -> float:
    """The chance of harm that is accepted: a share, or per cent; 1 in 10 if nothing is typed."""
    typed = at.text(fields, "target")
    if not typed:
        return 0.1
    number = at.number({"target": typed.rstrip("% ")}, "target", 0, 100, unit="%") or 0.0
    return number / 100.0 if typed.endswith("%") or number > 1 else number


def _lamps(text: str, known: Knowledge) -> tuple[float, str]:
    """Watts in all, and the kind of lamp."""
    if not text:
        return 0.0, "incandescent"
    watts = _WATTS.match(text.strip())
    named = _BULBS.match(text.strip())
    bulb = named[2].lower() if named else ""
    bulbs = {e.key.rpartition(".")[2]: e.value.value for e in known.entries("frost.lamp_watts")}
    if watts:
        return int(watts[1] or 1) * float(watts[2].replace(",", ".")), "incandescent"
    if named and bulb in bulbs:
        each = bulbs[bulb]
        kind = "led" if bulb.startswith("led") else "incandescent"
        return int(named[1] or 1) * float(each if isinstance(each, (int, float)) else 0.0), kind
    raise InputError(
        "Not the power of lamps.",
        given=text,
        allowed="watts, such as 100W or 2x60W; or bulbs, such as 25 c9: " + ", ".join(sorted(bulbs)),
        next_step="Read the watts off the lamp; no lamp has less than none.",
        field="lamps",
    )


def _bucket(at: Door, text: str, field: str, usual_c: float) -> tuple[int, float, float]:
    """How many, litres each, and temperature, from "2x19L@60C"."""
    if not text:
        return 1, 0.0, usual_c
    match = _BUCKET.match(text.strip())
    if not match:
        raise InputError(
            "Not an amount of water.",
            given=text,
            allowed="19L@60C, 2x19L@60C, 5 US gal @ 140F",
            next_step="Write litres, then @, then the temperature.",
            field=field,
        )
    litres = parse_quantity(match[2].removesuffix("/h").strip(), "volume", default_unit=at.units.volume, field=field)
    if not 0.0 < litres <= 10_000.0:
        raise InputError(
            "That amount of water cannot be.",
            given=text,
            allowed="more than 0, up to 10,000 L",
            next_step="Check the number and its unit.",
            field=field,
        )
    warm = _water_c(at, match[3], field, usual_c)
    return int(match[1] or 1), litres, warm


def _water_c(at: Door, text: str | None, field: str, usual_c: float) -> float:
    """Temperature of water [°C], asking where the number means another unit."""
    if not text:
        return usual_c
    number = re.match(r"\s*([+\-−]?\d+(?:[.,]\d+)?)\s*(.*)$", text)
    if not number:
        raise InputError("Not a temperature.", given=text, allowed="60C, 140F", next_step="Type it again.", field=field)
    value = float(number[1].replace("−", "-").replace(",", "."))
    unit = unit_named(number[2], field=field) if number[2].strip() else at.units.temperature
    warm = convert(value, unit, "°C")
    if unit == "°F" and not number[2].strip() and warm < 20.0 <= value and "unit" not in at.sure:
        from barkslip.domain.errors import QuestionError

        raise QuestionError(
            f"Water of {value:g} °F is cold. Is it °C?",
            code="unit",
            answers=((text + "C", f"{value:g} °C"), (text + "F", f"yes, {value:g} °F")),
            given=text,
            allowed=f"hot water of {c_to_f(40):.0f} to {c_to_f(95):.0f} °F, or 40 to 95 °C",
            next_step="Type it again with its unit.",
            field=field,
        )
    if not 0.0 <= warm <= 100.0:
        raise InputError(
            "Water of that temperature is ice or steam.",
            given=text,
            allowed="0 to 100 °C (32 to 212 °F)",
            next_step="Check the number and its unit.",
            field=field,
        )
    return warm
