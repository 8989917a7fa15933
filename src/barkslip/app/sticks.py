"""How many sticks to ask for: the take typed, or that of a method after the grafts of this book."""

from __future__ import annotations

import difflib
import re
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.frost import night_door
from barkslip.app.lines import Fields
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.sticks import StickPlan, Take

if TYPE_CHECKING:
    from barkslip.app.door import Door
    from barkslip.domain.method import Method
    from barkslip.knowledge.load import Knowledge

_PERCENT = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*%\s*$")
#: What may be wanted and typed at most.
MOST_WANTED, MOST_BUDS, MOST_WEIGHT = 500, 100, 10_000
#: Methods that set one bud: a graft takes one bud of the stick.
_ONE_BUD = ("t_bud", "inverted_t_bud", "chip_bud", "patch_bud", "micro_bud")


def ask_sticks(ctx: Context | None, settings: Settings, fields: Fields) -> StickPlan:
    """How many sticks to ask for.

    Parameters
    ----------
    ctx : Context or None
        None if there is no book: then no own grafts are counted.
    fields : mapping
        grafts (living ones wanted), buds_per_stick, buds_per_graft, chance (wanted, of at least so many), take (a
        share; a method's if left out), take_worth (grafts that a typed take is worth), method, own (no: leave own
        grafts out).

    Raises
    ------
    InputError
        If a number is missing or cannot be, or nothing is known of the take.
    """
    knowledge = _knowledge(ctx, settings)
    at = night_door(ctx, settings, {})
    wanted = _whole(at, fields, "grafts", "number of living grafts", MOST_WANTED)
    per_stick = _whole(at, fields, "buds_per_stick", "number of good buds on a stick", MOST_BUDS)
    per_graft = _whole(at, fields, "buds_per_graft", "", MOST_BUDS, default=1)
    sure = _share(at, fields, "chance") or _number(knowledge, "wood.sure")
    if not 0.0 < sure < 1.0:
        raise InputError(
            "Nothing is quite sure.",
            given=fields.get("chance", ""),
            allowed="more than 0 and less than 1, such as 0.95",
            next_step="Type the chance you want.",
            field="chance",
        )
    from barkslip.engines import sticks

    method = _method(at, fields, knowledge)
    take = _take(ctx, at, fields, knowledge, method)
    doubts = ["one_fate", "stick_buds"]
    if method is not None and method.key not in _ONE_BUD and not at.text(fields, "buds_per_graft"):
        doubts.append("buds_per_graft")
    if take.status != "typed":
        doubts += ["other_setting"] + (["few_grafts"] if take.took + take.lost < sticks.FEW else [])
    return sticks.plan(
        wanted,
        sure,
        take,
        buds_per_stick=per_stick,
        buds_per_graft=per_graft,
        doubt_weight=_number(knowledge, "wood.doubt_weight"),
        unknowns=tuple(doubts),
    )


def _knowledge(ctx: Context | None, settings: Settings) -> Knowledge:
    if ctx is not None:
        return ctx.knowledge
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def _number(knowledge: Knowledge, key: str) -> float:
    value = knowledge.value(key).value
    if not isinstance(value, (int, float)):
        raise InputError("That number of the knowledge base is missing.", given=key, next_step="Put it right.")
    return float(value)


def _whole(at: Door, fields: Fields, name: str, called: str, most: int, *, default: int | None = None) -> int:
    found = at.count(fields, name, most=most)
    if found is None and default is not None:
        return default
    if not found:
        raise InputError(
            f"The {called or 'number'} is missing." if found is None else "That number cannot be.",
            given="(nothing)" if found is None else "0",
            allowed=f"1 to {most}",
            next_step="Count it, and type it." if name == "buds_per_stick" else "Type it.",
            field=name,
        )
    return found


def _share(at: Door, fields: Fields, name: str) -> float | None:
    """A share typed as 0.6 or 60 %."""
    typed = at.text(fields, name)
    percent = _PERCENT.match(typed)
    if percent:
        hundred = at.number({name: percent[1]}, name, 0, 100, unit="%")
        return None if hundred is None else hundred / 100.0
    return at.number(fields, name, 0, 1)


def _method(at: Door, fields: Fields, knowledge: Knowledge) -> Method | None:
    typed = at.text(fields, "method")
    if not typed:
        return None
    found = knowledge.method(typed)
    if found is None:
        names = [m.name for m in knowledge.methods]
        near = difflib.get_close_matches(typed, names, n=3, cutoff=0.4) or names[:3]
        raise InputError(
            "No method of that name is known.",
            given=typed,
            allowed=", ".join(near),
            next_step="Choose one of these, or type the take itself.",
            field="method",
        )
    return found


def _take(ctx: Context | None, at: Door, fields: Fields, knowledge: Knowledge, method: Method | None) -> Take:
    """The share that takes: as typed, else the method's, after the grafts of this book."""
    from barkslip.engines.sticks import beta_range, with_own

    name = method.name if method is not None else ""
    typed = _share(at, fields, "take")
    worth = at.number(fields, "take_worth", 0.1, MOST_WEIGHT)
    if typed is not None:
        if typed == 0.0:
            raise InputError(
                "If none takes, no number of sticks is enough.",
                given=fields["take"],
                allowed="more than 0, at most 1",
                next_step="Type the share you expect to take.",
                field="take",
            )
        low, high = beta_range(typed, worth)
        return Take(typed, worth if typed < 1.0 else None, low, high, method=name)
    if method is None:
        raise InputError(
            "Neither the take nor a method is named.",
            given="(nothing)",
            allowed="a share such as 0.6, or a method such as bark graft",
            next_step="Type the share you expect to take, or the method: its take is looked up then.",
            field="take",
        )
    prior = _prior(knowledge, method)
    if ctx is None or at.text(fields, "own").lower() == "no":
        return prior
    return with_own(prior, *own_grafts(ctx, method.key))


def _prior(knowledge: Knowledge, method: Method) -> Take:
    from barkslip.engines.sticks import beta_range

    row = knowledge.rows("methods")[method.key]
    share, weight = row.first("take_prior"), row.first("take_prior_weight")
    number = share.value if share is not None else None
    worth = weight.value if weight is not None else None
    if share is None or not isinstance(number, (int, float)) or not isinstance(worth, (int, float)):
        known = [m.name for m in knowledge.methods if knowledge.rows("methods")[m.key].first("take_prior_weight")]
        raise InputError(
            f"No take of one's own hands is known for {method.name}.",
            given=method.name,
            allowed=", ".join(known),
            next_step="Type the share you expect to take, and how many grafts that leans on.",
            field="take",
        )
    low, high = beta_range(float(number), float(worth))
    return Take(
        float(number), float(worth), low, high, method=method.name, applies_to=share.applies_to, source=share.source,
        status=share.status,
    )  # fmt: skip


def own_grafts(ctx: Context, method: str) -> tuple[int, int]:
    """Grafts of a method in this book that took, and that did not; those that wait count for neither.

    Parameters
    ----------
    method : str
        Key of the method.
    """
    with ctx.book.read() as reader:
        rows = reader.rows(
            """SELECT g.method, n.word, count(*) FROM graft g JOIN graft_now n ON n.graft = g.thing
               WHERE g.current AND NOT g.withdrawn GROUP BY g.method, n.word"""
        )
    took = lost = 0
    for name, word, count in rows:
        found = ctx.knowledge.method(str(name))
        if found is None or found.key != method:
            continue
        took += int(count) if word == "took" else 0
        lost += int(count) if word == "did not take" else 0
    return took, lost
