"""One juice scored: corrections, ratio, the Californian score, standards of its kind of fruit. Needs no book."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.frost import night_door
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.lines import Fields
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.taste import JuiceScore, StandardCheck, Titration
from barkslip.domain.units import parse_temperature

if TYPE_CHECKING:
    from barkslip.domain.fits import Kind
    from barkslip.knowledge.load import Knowledge

#: Juice of ripe fruit reads no higher [°Brix]; no fruit's juice is more acid than this [%].
MOST_BRIX, MOST_ACID = 40.0, 14.0
#: Juice is read between these [°C].
JUICE_C = (2.0, 38.0)
#: What people call a group whose own name is longer.
_CALLED = {
    "navel": "navel_orange", "orange": "common_orange", "valencia": "common_orange", "tangerine": "mandarin",
    "blood orange": "blood_orange",
}  # fmt: skip


def ask_score(ctx: Context | None, settings: Settings, fields: Fields) -> JuiceScore:
    """Score one juice.

    Parameters
    ----------
    ctx : Context or None
        None without a book.
    fields : mapping
        brix, acid (per cent), temp, compensated (yes: the instrument corrects for temperature), lye, juice_ml,
        normality (acid by titration), juice (per cent of the fruit's mass), fruit (a variety or kind of fruit).

    Raises
    ------
    InputError
        If a number cannot be, or no Brix is given.
    """
    at = night_door(ctx, settings, fields)
    knowledge = ctx.knowledge if ctx is not None else _knowledge(settings)
    brix = read_brix(at, fields)
    if brix is None:
        raise InputError(
            "The Brix is missing.",
            given="(nothing)",
            allowed=f"0 to {MOST_BRIX:g} °Brix",
            next_step="Type what the refractometer shows.",
            field="brix",
        )
    acid, titration = _acid(at, fields, knowledge)
    temp = read_temp(at, fields)
    own = at.yes(fields, "compensated")
    kinds = kinds_of(knowledge, ctx.kept if ctx is not None else None)
    kind = _kind(at, fields, kinds)
    juice_pct = at.number(fields, "juice", 0.0, 100.0, unit="%")
    return score(knowledge, brix, acid, None if own else temp, juice_pct, kind, titration=titration)


def _knowledge(settings: Settings) -> Knowledge:
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def read_brix(at: Door, fields: Fields, name: str = "brix") -> float | None:
    """Typed Brix; None if nothing was typed.

    Raises
    ------
    InputError
    """
    value = at.number(fields, name, -100.0, 1000.0, unit="°Brix")
    if value is not None and not 0.0 <= value <= MOST_BRIX:
        raise InputError(
            "No juice of fruit reads so high." if value > 0.0 else "Brix is never below 0.",
            given=f"{value:g} °Brix",
            allowed=f"0 to {MOST_BRIX:g} °Brix",
            next_step="Wipe the prism, set it to 0 with clean water, and read a fresh drop.",
            field=name,
        )
    return value


def read_acid(at: Door, fields: Fields, name: str = "acid") -> float | None:
    """Typed acid; None if nothing was typed.

    Raises
    ------
    InputError
    """
    value = at.number(fields, name, -1000.0, 1000.0, unit="%")
    if value is not None and not 0.0 <= value <= MOST_ACID:
        raise InputError(
            "There is no acid below 0." if value < 0.0 else "No juice of fruit is so acid.",
            given=f"{value:g} %",
            allowed=f"0 to {MOST_ACID:g} % anhydrous citric acid",
            next_step="Type per cent of the juice, such as 0.95; or let it be worked out from the lye.",
            field=name,
        )
    return value


def read_temp(at: Door, fields: Fields) -> float | None:
    """Typed temperature of the juice [°C]; None if nothing was typed."""
    text = at.text(fields, "temp")
    if not text:
        return None
    sure = "unit" in at.sure or "unusual" in at.sure
    return parse_temperature(text, home=at.units.temperature, expect_c=JUICE_C, sure=sure, field="temp")


def _acid(at: Door, fields: Fields, knowledge: Knowledge) -> tuple[float | None, Titration | None]:
    from barkslip.engines.juice import number, titrated

    lye = at.number(fields, "lye", 0.0, 1000.0, unit="mL")
    typed = read_acid(at, fields)
    if lye is None:
        return typed, None
    if typed is not None:
        raise InputError(
            "The acid is given twice.",
            given=f"{typed:g} % and {lye:g} mL of lye",
            allowed="one of the two",
            next_step="Leave one out.",
            field="acid",
        )
    known = knowledge.value
    juice_ml = at.number(fields, "juice_ml", 0.0, 1000.0, unit="mL")
    normality = at.number(fields, "normality", 0.0, 10.0, unit="N")
    juice_ml = number(known, "quality_formulas.titration.juice") if juice_ml is None else juice_ml
    normality = number(known, "quality_formulas.titration.normality") if normality is None else normality
    if not juice_ml or not normality:
        raise InputError(
            "Juice and lye of nothing give no acid.",
            given=f"{juice_ml:g} mL of juice, {normality:g} N",
            allowed="over 0 for both; 25 mL and 0.1562 N if left out",
            next_step="Type how much juice was titrated and how strong the lye was.",
            field="juice_ml" if not juice_ml else "normality",
        )
    done = titrated(lye, normality, juice_ml, known)
    if done.acid_pct > MOST_ACID:
        raise InputError(
            "No juice of fruit is so acid.",
            given=f"{done.acid_pct:.1f} % from {lye:g} mL of {normality:g} N lye in {juice_ml:g} mL of juice",
            allowed=f"0 to {MOST_ACID:g} % anhydrous citric acid",
            next_step="Check the three numbers; the lye of the method is 0.1562 N.",
            field="lye",
        )
    return done.acid_pct, done


def _kind(at: Door, fields: Fields, kinds: Kinds) -> Kind | None:
    text = at.text(fields, "fruit")
    if not text:
        return None
    group = _CALLED.get(" ".join(text.lower().split()))
    return kinds.group(group) if group else kinds.top(text, field="fruit")[0]


def score(
    knowledge: Knowledge,
    brix_read: float,
    acid_pct: float | None,
    temp_c: float | None,
    juice_pct: float | None,
    kind: Kind | None,
    *,
    titration: Titration | None = None,
) -> JuiceScore:
    """One juice by its numbers.

    Raises
    ------
    InputError
        If the juice was too cold or too warm to be corrected.
    """
    from barkslip.engines import juice as engine

    known = knowledge.value
    corrected: tuple[float, bool] | None = (0.0, False)
    if temp_c is not None:
        corrected = engine.for_temperature(brix_read, temp_c, knowledge.table("brix_temperature"))
    if corrected is None:
        temps = sorted({float(r.cell("temp_c")) for r in knowledge.table("brix_temperature")})
        raise InputError(
            "No correction is known for juice of that temperature.",
            given=f"{temp_c:g} °C",
            allowed=f"{temps[0]:g} to {temps[-1]:g} °C; best is 20 °C",
            next_step="Let juice and instrument stand in a room, then read again.",
            field="temp",
        )
    brix = brix_read + corrected[0]
    for_acid = engine.for_acid(acid_pct, knowledge.table("brix_acid")) if acid_pct is not None else None
    ratio = brix / acid_pct if acid_pct else None
    index = engine.index_16_5(brix, acid_pct, known) if acid_pct is not None else None
    found = {"juice": juice_pct, "ratio": ratio, "solids": brix, "score": index, "acid": acid_pct}
    checks: tuple[StandardCheck, ...] = ()
    if kind is not None and kind.group:
        names = frozenset(_names(knowledge, kind))
        checks = engine.standards(knowledge.table("standards"), kind.group, names, found, known)
    used = {c.value.source for c in checks} | {"chain.CCR1430.35"}
    used |= {"chain.OIV-AS2-02"} if corrected[0] else set()
    used |= {"chain.ACIDCORR"} if for_acid is not None else set()
    return JuiceScore(
        brix_read=brix_read,
        temp_c=temp_c,
        for_temp=corrected[0],
        temp_recalled=corrected[1],
        brix=brix,
        acid_pct=acid_pct,
        for_acid=for_acid,
        solids=brix + for_acid if for_acid is not None else None,
        ratio=ratio,
        index_16_5=index,
        index_least=engine.number(known, "quality_formulas.california.threshold"),
        titration=titration,
        juice_pct=juice_pct,
        fruit=kind.name if kind is not None else "",
        standards=checks,
        sources={key: knowledge.source(key) for key in sorted(used)},
        notes=_notes(kind, acid_pct, checks),
    )


def _names(knowledge: Knowledge, kind: Kind) -> list[str]:
    words = kind.name.lower().replace("'", " ").split()
    if kind.table == "varieties":
        row = knowledge.rows("varieties")[kind.key]
        words += " ".join((row.cell("epithet"), *row.cell_list("synonyms"))).lower().split()
    return words


def _notes(kind: Kind | None, acid_pct: float | None, checks: tuple[StandardCheck, ...]) -> tuple[str, ...]:
    out = []
    if acid_pct is None:
        out.append("no_acid")
    elif not acid_pct:
        out.append("acid_zero")
    if kind is None:
        out.append("no_fruit")
    elif not checks:
        out.append("no_standard")
    if kind is not None and kind.group != "navel_orange" and acid_pct:
        out.append("navels_only")
    return tuple(out)
