"""Keep, rework or replace: numbers of one tree from the book, typed ones over them, and what each way brings."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from barkslip.app import worth_tree as book
from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.fits import knowledge_of
from barkslip.app.frost import night_door
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.settings import Settings
from barkslip.app.worth_tree import TreeFacts
from barkslip.domain.errors import InputError
from barkslip.domain.sourced import Value
from barkslip.domain.worth import LIMITS, UNIONS, WAYS, Bearing, Way, WorthAnswer, WorthInput, WorthNumbers
from barkslip.engines import worth as engine
from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Typed as a share or as a percentage.
SHARES = ("discount", "crop", "dry", "take", "stands", "give_out", "share")
_COSTS = ("cost_trial", "cost_rework", "cost_replace", "upkeep", "upkeep_new")
#: Most that a cost is moved to in search of a turning point [year of good fruit].
_MOST_COST = 10.0


@dataclass
class _Made:
    """Numbers on their way in."""

    inputs: dict[str, WorthInput] = field(default_factory=dict)
    sd: dict[str, float] = field(default_factory=dict)
    values: dict[str, Value] = field(default_factory=dict)
    take: tuple[float, float] | None = None
    notes: list[str] = field(default_factory=list)


def ask_worth(ctx: Context | None, settings: Settings, fields: Fields) -> WorthAnswer:
    """Years of good fruit that each way brings.

    Parameters
    ----------
    ctx : Context or None
        The book; None if every number is typed or taken from the tables.
    fields : mapping
        tree (code or name), kind (what it bears), to (what would be put on it), method, union (one of `UNIONS`),
        beside (codes of trees to see times of bearing of, with commas), and the keys of `LIMITS`.

    Raises
    ------
    InputError, NotFoundError
    """
    knowledge = knowledge_of(ctx, settings)
    at = night_door(ctx, settings, {})
    union = at.choice(fields, "union", UNIONS, UNIONS[0])
    kinds = kinds_of(knowledge, ctx.kept if ctx else None)
    facts = book.facts_of(ctx, kinds, fields) if ctx is not None and fields.get("tree") else None
    made = _made(ctx, at, knowledge, kinds, facts, fields, union)
    to = _named(kinds, fields.get("to", ""))
    barred, fit = _barred(ctx, facts, to)
    numbers = _numbers(made, {})
    values = engine.worths(numbers)
    shut, margin = frozenset(barred), _value(made, knowledge, "margin")
    best = engine.best_of(values, shut, margin)
    spread = engine.spread_of(engine.draws(numbers, _ranges(made)), best)
    ways = tuple(Way(code, values[code], *spread[code], barred.get(code, "")) for code in WAYS)
    close = max((w for w in ways if w.code not in (best, *shut)), key=lambda w: w.more)
    line = _value(made, knowledge, "close")
    parts = (("score", "now"), ("score_to", "rework"), ("score_new", "replace"))
    return WorthAnswer(
        tree=facts.tree.code if facts else "",
        name=facts.tree.name if facts else "",
        kind=facts.kind if facts else fields.get("kind", ""),
        to=to,
        ways=ways,
        best=best,
        close=close.code if close.more > 1.0 - line else "",
        known=engine.knowing(numbers, "", shut),
        known_by={key: engine.knowing(numbers, part, shut) for key, part in parts},
        turns=engine.turns(numbers, _handles(made), shut, margin),
        inputs=tuple(made.inputs.values()),
        tastings=facts.tastings if facts else (),
        trend=book.trend_of(facts.tastings) if facts else "",
        bearing=_bearing(ctx, knowledge, facts, fields),
        join=facts.join.verdict if facts and facts.join else "",
        join_share=facts.join_share if facts else 0.0,
        again=_again(ctx, facts),
        union=union,
        fit=fit,
        notes=(*made.notes, *_notes(facts, union, to)),
        seeds=book.seeds_rose(facts.tastings) if facts else None,
        kinds=facts.kinds if facts else (),
        margin=margin,
        values=made.values,
    )


# -- numbers in ------------------------------------------------------------------------------------------------


def _value(made: _Made, knowledge: Knowledge, key: str) -> float:
    value = knowledge.value(f"worth.{key}")
    made.values[f"worth.{key}"] = value
    return float(value.value) if isinstance(value.value, (int, float)) else 0.0


def _made(
    ctx: Context | None, at: Door, knowledge: Knowledge, kinds: Kinds, facts: TreeFacts | None, fields: Fields,
    union: str,
) -> _Made:  # fmt: skip
    made = _Made()
    for key, table in (("years", "years"), ("discount", "discount")):
        _from_table(made, at, fields, key, knowledge, f"worth.{table}")
    _scores(ctx, made, at, knowledge, kinds, facts, fields)
    if union == "crease":
        _from_table(made, at, fields, "crop", knowledge, "worth.crop_crease")
    else:
        _put(made, at, fields, WorthInput("crop", None, 0.5, 1.0, "not known"), least=1.0)
    dry = book.dry_share(facts.tastings) if facts else None
    how = "own" if dry is not None else "not known"
    _put(made, at, fields, WorthInput("dry", dry, 0.0, min(1.0, 2.0 * dry) if dry else 0.3, how), least=0.0)
    _take(made, at, knowledge, facts, fields)
    soon = facts.bears_in if facts else None
    if soon is not None:
        _put(made, at, fields, WorthInput("bears_now", 0.5 * (soon[0] + soon[1]), *soon, "table"))
    else:
        _put(made, at, fields, WorthInput("bears_now", 1.0, 1.0, 1.0, "own" if facts else "not known"))
    _from_span(made, at, fields, "bears", knowledge.rows("timelines")["topwork_quality"].value)
    _from_span(made, at, fields, "bears_new", knowledge.rows("timelines")["trial_first_yields"].value)
    _from_table(made, at, fields, "stands", knowledge, "worth.stands")
    _lasting(made, at, knowledge, facts, fields, union)
    if facts is not None and facts.limbs > 1:
        share = 1.0 / facts.limbs
        note = str(facts.limbs)
        _put(made, at, fields, WorthInput("share", share, 0.5 * share, min(0.9, 2.0 * share), "own", note=note))
    else:
        _from_table(made, at, fields, "share", knowledge, "worth.trial_share")
    for key in _COSTS:
        _put(made, at, fields, WorthInput(key, None, None, None, "not known"), least=0.0)
    _put(made, at, fields, WorthInput("fruit_year", None, None, None, "not known"), least=1.0)
    if all(made.inputs[key].how == "not known" for key in _COSTS):
        made.notes.append("costs_not_known")
    if made.inputs["crop"].how == "not known":
        made.notes.append("crop_not_known")
    for key in ("nothing_score", "full_score"):
        _value(made, knowledge, key)
    return made


def _lasting(made: _Made, at: Door, knowledge: Knowledge, facts: TreeFacts | None, fields: Fields, union: str) -> None:
    """Chance each year that the tree gives out: by what was seen at the union, else by what is recorded of the join."""
    base = knowledge.value("worth.give_out")
    made.values["worth.give_out"] = base
    share = facts.join_share if facts and facts.join and facts.join.verdict == "recorded_bad" else 0.0
    key = "give_out_crease" if union == "crease" else "give_out_recorded" if share and union != "sound" else "give_out"
    value = knowledge.value(f"worth.{key}")
    made.values[f"worth.{key}"] = value
    part = share if key == "give_out_recorded" else 1.0

    def mixed(one: object, other: object) -> float:
        pair = [float(x) if isinstance(x, (int, float)) else 0.0 for x in (one, other)]
        return part * pair[0] + (1.0 - part) * pair[1]

    found = WorthInput(
        "give_out", mixed(value.value, base.value), mixed(value.low, base.low), mixed(value.high, base.high), "chosen",
        value.source, value.status,
    )  # fmt: skip
    _put(made, at, fields, found)


def _typed(at: Door, fields: Fields, key: str) -> float | None:
    low, high = LIMITS[key]
    text = fields.get(key, "").strip()
    if key in SHARES and text.endswith("%"):
        found = at.number({key: text[:-1]}, key, 100.0 * low, 100.0 * high, unit="%")
        return None if found is None else found / 100.0
    found = at.number(fields, key, low, high)
    if key == "fruit_year" and found == 0.0:
        raise InputError(
            "Nothing can be weighed in fruit that is worth nothing.",
            given="0",
            allowed="a sum of money above 0",
            next_step="Type what a year of good fruit of this tree is worth to you, or leave it empty.",
            field=key,
        )
    return found


def _put(made: _Made, at: Door, fields: Fields, found: WorthInput, *, least: float | None = None) -> None:
    """Take what was typed before what was found; what is not known counts as `least`."""
    typed = _typed(at, fields, found.key)
    if typed is not None:
        low = min(typed, found.low) if found.low is not None else typed
        high = max(typed, found.high) if found.high is not None else typed
        found = WorthInput(found.key, typed, low, high, "typed")
    made.inputs[found.key] = found
    made.sd.setdefault(f"={found.key}", found.value if found.value is not None else (least or 0.0))


def _from_table(made: _Made, at: Door, fields: Fields, key: str, knowledge: Knowledge, table: str) -> None:
    value = knowledge.value(table)
    made.values[table] = value
    best = float(value.value) if isinstance(value.value, (int, float)) else 0.0
    found = WorthInput(key, best, value.low, value.high, "chosen", value.source, value.status)
    _put(made, at, fields, found)


def _from_span(made: _Made, at: Door, fields: Fields, key: str, value: Value | None) -> None:
    """A time that is known as a span: its middle."""
    low, high = (value.low or 0.0, value.high or 0.0) if value is not None else (0.0, 0.0)
    source, status = (value.source, value.status) if value is not None else ("", "")
    _put(made, at, fields, WorthInput(key, 0.5 * (low + high), low, high, "table", source, status))


def _scores(
    ctx: Context | None, made: _Made, at: Door, knowledge: Knowledge, kinds: Kinds, facts: TreeFacts | None,
    fields: Fields,
) -> None:  # fmt: skip
    mean, each = _value(made, knowledge, "kind_score"), _value(made, knowledge, "crop_spread")
    prior = made.values["worth.kind_score"]
    sd = 0.5 * ((prior.high or mean) - (prior.low or mean))
    to = fields.get("to", "")
    told = {
        "score": book.counted(facts.tastings) if facts else (),
        "score_to": book.counted(book.elsewhere(ctx, kinds, to)) if ctx is not None and to else (),
        "score_new": book.counted(book.elsewhere(ctx, kinds, to)) if ctx is not None and to else (),
    }
    for key, scores in told.items():
        middle, spread = engine.learned(mean, sd, scores, each)
        made.sd[key] = spread
        how = "own" if scores else "chosen"
        note = str(len(scores)) if scores else ""
        found = WorthInput(key, middle, middle - spread, middle + spread, how, prior.source, prior.status, note)
        _put(made, at, fields, found)
    if made.inputs["score"].how == "chosen":
        early = facts is not None and bool(facts.tastings)
        made.notes.append("too_early" if early else "no_tasting")


def _take(made: _Made, at: Door, knowledge: Knowledge, facts: TreeFacts | None, fields: Fields) -> None:
    from barkslip.engines.take_counts import answer, beta_of

    value = knowledge.value("take.prior.logit")
    made.values["take.prior.logit"] = value
    mean = float(value.value) if isinstance(value.value, (int, float)) else 0.0
    prior = beta_of(mean, 0.5 * ((value.high or mean) - (value.low or mean)))
    took, tried = (facts.took, facts.tried) if facts else (0, 0)
    found = answer(took, tried, prior, 0.8)
    how = "own" if tried else "chosen"
    note = f"{took} {tried}" if tried else ""
    _put(made, at, fields, WorthInput("take", found.mean, found.low, found.high, how, value.source, value.status, note))
    made.take = None if made.inputs["take"].how == "typed" else (prior.a + took, prior.b + tried - took)


# -- numbers out -----------------------------------------------------------------------------------------------


def _numbers(made: _Made, moved: Mapping[str, float]) -> WorthNumbers:
    v = {key: moved.get(key, made.sd[f"={key}"]) for key in made.inputs}
    none, full = (float(made.values[f"worth.{k}"].value or 0.0) for k in ("nothing_score", "full_score"))
    worth = engine.straight(none, full)
    whole = v["crop"] * (1.0 - v["dry"])
    each = float(made.values["worth.crop_spread"].value or 0.0)
    return WorthNumbers(
        years=v["years"],
        d=1.0 / (1.0 + v["discount"]),
        now=engine.normal_belief(v["score"], made.sd["score"], lambda s: whole * worth(s)),
        rework=engine.normal_belief(v["score_to"], made.sd["score_to"], worth),
        replace=engine.normal_belief(v["score_new"], made.sd["score_new"], worth),
        take=v["take"],
        bears_now=v["bears_now"],
        bears=v["bears"],
        bears_new=v["bears_new"],
        stands=v["stands"],
        give_out=v["give_out"],
        give_out_new=float(made.values["worth.give_out"].value or 0.0),
        share=v["share"],
        crop_spread=math.inf if "no_tasting" in made.notes else each * whole / (full - none),
        **{key: v[key] / v["fruit_year"] for key in _COSTS},
    )


def _handles(made: _Made) -> tuple[engine.Handle, ...]:
    out = []
    for key, found in made.inputs.items():
        if key == "fruit_year":
            continue
        value, (least, most) = made.sd[f"={key}"], LIMITS[key]
        if key in _COSTS:
            most = _MOST_COST * made.sd["=fruit_year"]
        low = found.low if found.low is not None else value
        high = found.high if found.high is not None else value
        moved = _mover(made, key)
        out.append(engine.Handle(key, value, low, high, least, max(most, value), moved))
    return tuple(out)


def _mover(made: _Made, key: str) -> Callable[[float], WorthNumbers]:
    return lambda at: _numbers(made, {key: at})


def _ranges(made: _Made) -> engine.Ranges:
    def span(key: str) -> tuple[float, float]:
        found, value = made.inputs[key], made.sd[f"={key}"]
        if found.how == "typed" or found.low is None or found.high is None:
            return value, value
        return found.low, found.high

    return engine.Ranges(made.take, span("bears"), span("bears_new"), span("stands"), span("give_out"))


# -- what speaks against a way --------------------------------------------------------------------------------


def _named(kinds: Kinds, typed: str) -> str:
    """The name of what would be put on it, as the book writes it."""
    if not typed:
        return ""
    written = kinds.written(typed, top=True)
    return written[0].name if written else typed


def _barred(ctx: Context | None, facts: TreeFacts | None, to: str) -> tuple[dict[str, str], str]:
    """Ways that something speaks against whatever they bring; and the verdict of `to` on the chain."""
    if ctx is None or facts is None or not to:
        return {}, ""
    fit = book.fit_of(ctx, facts.tree, to)
    if fit is None:
        return {}, ""
    join = facts.join
    bad = join is not None and join.verdict == "recorded_bad" and facts.join_share >= 0.5
    again = bad and join is not None and fit.scion.group == join.upper.group
    if again or fit.own_verdict == "recorded_bad":
        code = "not_again" if again else "recorded_bad"
        return {"rework": code, "trial": code}, fit.verdict
    return {}, fit.own_verdict


def _again(ctx: Context | None, facts: TreeFacts | None) -> str:
    if ctx is None or facts is None or not facts.kind:
        return ""
    fit = book.fit_of(ctx, facts.tree, facts.kind)
    return fit.verdict if fit is not None else ""


def _notes(facts: TreeFacts | None, union: str, to: str) -> tuple[str, ...]:
    out = [] if to else ["to_not_named"]
    if facts is None:
        return (*out, "no_tree")
    if facts.join is not None and facts.join.verdict == "recorded_bad":
        likely = facts.join_share >= 0.5
        out += (["not_again"] if likely else []) + (["look_first"] if union == "not looked" else [])
    if len(facts.kinds) > 1:
        out.append("several_kinds")
    if book.seeds_rose(facts.tastings) is not None:
        out.append("seeds_rose")
    return tuple(out)


def _bearing(ctx: Context | None, knowledge: Knowledge, facts: TreeFacts | None, fields: Fields) -> tuple[Bearing, ...]:
    from barkslip.app.trees import find_tree

    if ctx is None or facts is None:
        return ()
    rows = knowledge.rows("timelines")
    first, planted = rows["topwork_first_fruit"].value, rows["trial_first_yields"].value
    if first is None or planted is None:
        return ()
    codes = [c.strip() for c in fields.get("beside", "").split(",") if c.strip()]
    with ctx.book.read() as reader:
        trees = [facts.tree, *(find_tree(reader, c) for c in codes)]
    return tuple(row for tree in trees for row in book.bearing_of(ctx, tree, first, planted))
