"""Juice and tastings in words: what is met, what it is too early to say, and what the fruit may be."""

from __future__ import annotations

from collections.abc import Sequence

from barkslip.domain.taste import (
    DryCause,
    Identity,
    JuiceScore,
    StandardCheck,
    TasteLine,
    TastingVerdict,
)
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates
from barkslip.present import units as u

SIGNS = {True: "✓", False: "×", None: "?"}
VERDICT_SIGNS = {
    "early": "·", "name": "!", "good": "✓", "middling": "–", "poor once": "?", "poor here": "×", "no score": "·",
}  # fmt: skip
CRITERIA = {
    "min_juice": "least juice", "min_ratio": "least ratio", "min_solids": "least soluble solids",
    "min_score": "least score", "usual_ratio": "usual ratio", "usual_acid": "usual acid",
}  # fmt: skip
NOTES = {
    "no_acid": "Without the acid there is neither ratio nor score: sweet and sour go together.",
    "acid_zero": "With an acid of 0 there is no ratio; fruit without any acid is seldom read right.",
    "no_fruit": "No kind of fruit was named, so no standard was looked up.",
    "no_standard": "No standard of this kind of fruit is in the knowledge base.",
    "navels_only": "The 16.5 score was made for navel oranges; for other fruit it is a number beside others.",
    "young_graft": "The graft is younger than 3 to 4 years, when fruit is said to be as it should be (recalled).",
    "not_citrus": "Ratio, score and corrections were made for citrus: of other fruit only Brix and acid are told.",
    "few_tasters": "Fewer than three people tasted: palates differ more than fruits do.",
    "crop_not_known": "Which crop it is nobody has written down; type it, for a first crop judges nothing.",
    "not_counted": "How many fruits were tasted is not written down.",
    "no_liking": "Nobody's liking is written down: numbers alone do not say whether it is good.",
    "seeds_pollen": "More seeds than this variety has alone: a pollen partner in bloom explains them, not the stock.",
    "seeds_more": "More seeds than this variety is told to have: look at months and leaves before trusting the label.",
    "beside_months": "Tasted beside its usual months: sugar and acid are still on their way, or past it.",
}
_DRY_WHY = {
    "first_crop": "it is a first crop",
    "lemon_stock": "the likeliest root is of the lemon type",
    "weighed": "the fruit was weighed",
    "months": "it was tasted after its months",
    "frost": "there was a frost while it hung",
}
#: No gain may be promised by any of these; and nobody's tree is fed into sweetness.
ADVICE = "Taste the next crop before anything is cut: a variety is not bad because its first fruit is."
RULES_NOTE = (
    "Standards are for fruit that is sold and graded; a garden's fruit need not meet them. Rules change: ask the "
)
RULES_NOTE += "authority before selling."


# -- juice -----------------------------------------------------------------------------------------------------------


def juice_headline(j: JuiceScore) -> str:
    """The answer on one juice."""
    if j.index_16_5 is None:
        return f"{number(j.brix, 1)} °Brix; without the acid nothing more can be said."
    words = f"Score {number(j.index_16_5, 1)}"
    if j.ratio is not None:
        words += f", ratio {number(j.ratio, 1)}"
    if not j.fruit or _navel(j):
        side = "over" if j.index_16_5 >= j.index_least else "under"
        words += f": {side} the {j.index_least:g} that is asked of navels"
    return words + "."


def _navel(j: JuiceScore) -> bool:
    return any(c.criterion == "min_score" for c in j.standards)


def number(value: float, decimals: int = 1) -> str:
    """A number with a real minus."""
    return u.number(value, decimals)


def juice_rows(j: JuiceScore, units: UnitChoice = METRIC) -> tuple[tuple[str, str], ...]:
    """Names and words of one juice."""
    rows = [("read", f"{number(j.brix_read, 1)} °Brix")]
    if j.temp_c is not None:
        known = " (rows above 20 °C are recalled)" if j.temp_recalled else ""
        rows.append((f"at {u.temperature(j.temp_c, units)}", f"{u.number(j.for_temp, 2, sign=True)} °Brix{known}"))
        rows.append(("at 20 °C", f"{number(j.brix, 2)} °Brix"))
    if j.titration is not None:
        t = j.titration
        rows.append(("lye", f"{t.lye_ml:g} mL of {t.normality:g} N in {t.juice_ml:g} mL of juice"))
        rows.append(("acid", f"{number(t.acid_pct, 2)} g in 100 mL; {number(t.acid_mass_pct, 2)} % by mass"))
    elif j.acid_pct is not None:
        rows.append(("acid", f"{number(j.acid_pct, 2)} %"))
    if j.for_acid is not None and j.solids is not None:
        rows.append(
            ("with its acid", f"{number(j.solids, 2)} % soluble solids ({u.number(j.for_acid, 2, sign=True)} for acid)")
        )
    if j.ratio is not None:
        rows.append(("ratio", f"{number(j.ratio, 1)} : 1"))
    if j.index_16_5 is not None:
        rows.append(("(Brix − 4 acid) × 16.5", number(j.index_16_5, 2)))
    if j.juice_pct is not None:
        rows.append(("juice", f"{number(j.juice_pct, 0)} %"))
    return tuple(rows)


def standard_rows(j: JuiceScore) -> tuple[tuple[str, str, str, str, str], ...]:
    """(sign and word, what is asked, what was found, on condition, standard and status)."""
    out = []
    for c in j.standards:
        sign = "–" if c.criterion.startswith("usual") else SIGNS[c.met]
        known = f"{c.standard}, {c.value.status}"
        out.append((f"{sign} {_met_words(c)}", _asked(c), _found(c), c.condition, known))
    return tuple(out)


def _met_words(c: StandardCheck) -> str:
    if c.criterion.startswith("usual"):
        return {True: "usual", False: "outside", None: "cannot tell"}[c.met]
    return {True: "met", False: "not met", None: "cannot tell"}[c.met]


def _asked(c: StandardCheck) -> str:
    name = f"{CRITERIA[c.criterion]} of {c.fruit}"
    if c.criterion.startswith("usual"):
        return f"{name}: {c.value.low:g} to {c.value.high:g}{_unit(c)}"
    if c.least is None:
        return f"{name}: not known" if c.key != "cfr_florida" else f"{name}: by solids, from 9 %"
    return f"{name}: {c.least:g}{_unit(c)}"


def _unit(c: StandardCheck) -> str:
    return f" {c.unit}" if c.unit not in ("1", "") else ""


def _found(c: StandardCheck) -> str:
    if c.found is None:
        return "not measured"
    return f"{number(c.found, 1)}{_unit(c)}"


def juice_notes(j: JuiceScore) -> tuple[str, ...]:
    """Sentences of a juice."""
    out = [NOTES[n] for n in j.notes]
    turned = _turned_by_acid(j)
    if turned:
        out.append(turned)
    return tuple(out)


def _turned_by_acid(j: JuiceScore) -> str:
    """If counting the acid would turn the verdict on a navel, it is near the line."""
    if j.index_16_5 is None or j.for_acid is None or not (_navel(j) or not j.fruit):
        return ""
    with_acid = j.index_16_5 + 16.5 * j.for_acid
    if (with_acid >= j.index_least) == (j.index_16_5 >= j.index_least):
        return ""
    return (
        f"It is near the line: with the acid counted among the solids the score would be {number(with_acid, 1)}. "
        "Measure more fruit."
    )


# -- tastings --------------------------------------------------------------------------------------------------------


def verdict_headline(v: TastingVerdict) -> str:
    """The answer on one tasting."""
    name = v.tasting.variety
    if v.verdict == "name":
        return f"This fruit is {v.identity.found}: it says nothing about the name on the label."
    if v.verdict == "early":
        return f"Too early to judge {name}: {counts.listed(early_words(v))}."
    if v.verdict == "no score":
        return f"{name}: no liking was written down."
    if v.verdict == "good":
        return f"{name}: good, {_liking(v)}."
    if v.verdict == "middling":
        return f"{name}: middling, {_liking(v)}."
    if v.verdict == "poor once":
        return f"{name}: not liked this time ({_liking(v)}); one crop does not condemn it."
    return f"{name}: not liked here in two crops or more that could be judged ({_liking(v)})."


def _liking(v: TastingVerdict) -> str:
    return f"liking {number(v.tasting.score9 or 0.0, 1)} of 9"


def early_words(v: TastingVerdict) -> tuple[str, ...]:
    """Why it is too early, each as a part of a sentence."""
    out = []
    for code in v.early:
        if code == "first_crop":
            out.append("first crop")
        elif code == "few_fruit":
            out.append(f"{counts.many(v.tasting.fruit_n or 0, 'fruit')} only")
        elif code == "frozen" and v.frost is not None:
            out.append(f"it may have been frozen on {dates.day_text(v.frost[0])}")
        elif code == "not_ripe":
            out.append("tasted before its months")
        elif code == "over_ripe":
            out.append("tasted after its months")
    return tuple(out)


def line_headline(line: TasteLine) -> str:
    """The crops of one variety in one sentence."""
    words = verdict_headline(line.newest)
    liked = [v.tasting.score9 for v in line.tastings if v.tasting.score9 is not None]
    if len(liked) > 1 and line.newest.verdict != "name":
        way = (
            "rising" if liked == sorted(liked) else "falling" if liked == sorted(liked, reverse=True) else "up and down"
        )
        words += f" Liking {way}: {', '.join(number(s, 1) for s in liked)}."
    return words


def crop_words(v: TastingVerdict) -> str:
    """ "3", "3, counted from tastings" or "not known"."""
    if v.crop is None:
        return "not known"
    return f"{v.crop}, counted from tastings" if v.crop_counted else str(v.crop)


def tasting_rows(v: TastingVerdict, units: UnitChoice = METRIC) -> tuple[tuple[str, str], ...]:
    """Names and words of one tasting."""
    t = v.tasting
    rows = [("crop", crop_words(v))]
    who = []
    if t.fruit_n is not None:
        who.append(counts.many(t.fruit_n, "fruit"))
    if t.panel is not None:
        who.append(counts.many(t.panel, "person", "people"))
    if who:
        rows.append(("tasted", ", ".join(who)))
    if t.score9 is not None:
        rows.append(("liking", f"{number(t.score9, 1)} of 9"))
    if v.juice is not None:
        rows += [("Brix" if name == "read" else name, words) for name, words in juice_rows(v.juice, units)]
    if t.fruit_g is not None:
        rows.append(("a fruit", u.mass(t.fruit_g, units)))
    if t.seeds_per_fruit is not None:
        rows.append(("seeds", f"{number(t.seeds_per_fruit, 1)} a fruit"))
    if v.dry_share is not None:
        rows.append(("dry", f"{t.dry_n} of {t.fruit_n}"))
    return tuple(rows)


def identity_text(i: Identity) -> str:
    """Whether it is what the label says."""
    if i.found:
        return f"The wood turned out to be {i.found}; every graft of that lot carries it."
    if not i.known_as:
        return f"The knowledge base does not know {i.named}: its months and looks cannot be compared."
    parts = []
    if i.months is None or i.fits == "not known":
        parts.append("its months are not known here")
    else:
        there = windows_words(i)
        words = {
            "its months": f"tasted in its months ({there})",
            "beside its months": f"tasted within a month of its own ({there})",
            "not its months": f"ripe out of its months ({there}): another variety, or not ripe",
        }
        parts.append(words[i.fits])
    if i.seeds == "as told":
        parts.append(f"seeds as told ({i.told_seeds})")
    elif i.seeds in ("more than told", "pollen"):
        parts.append(f"more seeds than told ({i.told_seeds})")
    return f"{i.known_as}: {'; '.join(parts)}."


def windows_words(i: Identity) -> str:
    """ "May to Jul" in this garden's half of the world."""
    spans = []
    for first, last in i.windows:
        start, end = dates.MONTHS[(first // 2) % 12], dates.MONTHS[(last // 2) % 12]
        spans.append(start if start == end and last - first < 2 else f"{start} to {end}")
    return ", ".join(spans)


def verdict_notes(v: TastingVerdict) -> tuple[str, ...]:
    """Sentences of one tasting."""
    out = [NOTES[n] for n in v.notes]
    if v.frost is not None and "frozen" in v.early:
        low = "" if v.frost[1] is None else f" ({u.temperature(v.frost[1])})"
        out.append(f"Frost on {dates.day_text(v.frost[0])}{low}: cut a few fruits across and look for dry, pale sacs.")
    if v.verdict in ("early", "poor once"):
        out.append(ADVICE)
    return tuple(out)


def dry_rows(causes: Sequence[DryCause]) -> tuple[tuple[str, str, str], ...]:
    """(sign and where it lies, cause, why it may hold here, with how it is known)."""
    rows = []
    for c in causes:
        if c.here is False:
            continue
        sign = "✓ holds here" if c.here else "? not known here"
        why = _DRY_WHY.get(c.why, "") if c.here else ""
        rows.append((sign, c.name + (f" ({c.detail})" if c.detail else ""), "; ".join(p for p in (why, c.status) if p)))
    return tuple(rows)


DRY_LEAD = (
    "Dry fruit has many recorded causes, and none is proved by a look: the sacs set to a gel, they do not dry out."
)
