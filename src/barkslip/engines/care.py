"""What is due at a graft and at a tree: windows from looks, acts and the numbers of the knowledge base.

Windows are days, not judgements: the clock of the reader decides whether one is open.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from barkslip.domain.act import Act
from barkslip.domain.due import CareRules, Due
from barkslip.domain.graft import Graft, Look, Standing, ordered
from barkslip.domain.sourced import Value


def _days(value: Value) -> int:
    """Best value of a number of days [d]; the middle of the range where only that is known."""
    if isinstance(value.value, (int, float)):
        return round(value.value)
    if value.low is not None and value.high is not None:
        return round((value.low + value.high) / 2)
    return round(value.low if value.low is not None else value.high or 0)


def _low(value: Value) -> int:
    return round(value.low) if value.low is not None else _days(value)


def _high(value: Value) -> int:
    return round(value.high) if value.high is not None else _days(value)


def _last(acts: Iterable[Act], *kinds: str) -> Act | None:
    found = [a for a in acts if a.kind in kinds]
    return max(found, key=lambda a: (a.on.first, a.id)) if found else None


def cover_on(graft: Graft, acts: Sequence[Act]) -> tuple[str, date] | None:
    """Kind of the cover that is on and the day it was put on; None if there is none."""
    kind, since = (graft.cover, graft.set_on.last) if graft.cover else ("", graft.set_on.last)
    for act in sorted((a for a in acts if a.kind in ("cover on", "cover off")), key=lambda a: (a.on.first, a.id)):
        kind, since = (act.detail or "cover", act.on.last) if act.kind == "cover on" else ("", act.on.last)
    return (kind, since) if kind else None


def graft_due(
    graft: Graft, standing: Standing, looks: Sequence[Look], acts: Sequence[Act], rules: CareRules
) -> tuple[Due, ...]:
    """Windows of everything a graft is due for, now or later; none once it is lost.

    Parameters
    ----------
    graft : Graft
    standing : Standing
        Folded from `looks`.
    looks, acts : sequences
        Current ones of this graft only.
    rules : CareRules
    """
    if standing.mark == "lost":
        return ()
    out: list[Due] = []
    out += _look_due(graft, standing, rules)
    out += _cover_due(graft, acts, rules)
    out += _release_due(graft, acts, rules)
    out += _brace_due(looks, acts, rules)
    return tuple(sorted(out, key=lambda d: (d.opens, d.kind)))


def _look_due(graft: Graft, standing: Standing, rules: CareRules) -> list[Due]:
    if standing.looks == 0:
        value = rules.first_look
        opens = graft.set_on.last + timedelta(days=_low(value))
        closes = max(opens, graft.set_on.first + timedelta(days=_high(value)))
        return [Due("first look", opens, closes, "first-look", graft.set_on.first, value)]
    if standing.word != "waiting" or standing.last_on is None:
        return []
    value = rules.look_again
    opens = standing.last_on + timedelta(days=_days(value))
    return [Due("look", opens, None, f"waiting-{standing.mark}", standing.last_on, value, standing.state)]


def _cover_due(graft: Graft, acts: Sequence[Act], rules: CareRules) -> list[Due]:
    on = cover_on(graft, acts)
    if on is None:
        return []
    kind, since = on
    check = _last(acts, "wrap check")
    seen = max(since, check.on.last) if check else since
    out = [
        Due(
            "wrap check",
            seen + timedelta(days=_low(rules.wrap_check)),
            seen + timedelta(days=_high(rules.wrap_check)),
            "wrap-check",
            seen,
            rules.wrap_check,
            kind,
        )
    ]
    longest = _days(rules.cover_max)
    if longest:
        out.append(Due("cover", since + timedelta(days=longest), None, "cover-still-on", since, rules.cover_max, kind))
    return out


def _release_due(graft: Graft, acts: Sequence[Act], rules: CareRules) -> list[Due]:
    if not graft.binding or _last(acts, "release"):
        return []
    rule = rules.binding(graft.binding)
    if rule is None or (rule.release_from is None and rule.release_by is None):
        return []
    start = rule.release_from or rule.release_by
    assert start is not None
    opens = graft.set_on.last + timedelta(days=_days(start))
    closes = graft.set_on.first + timedelta(days=_days(rule.release_by)) if rule.release_by else None
    if closes is not None:
        opens = min(opens, closes)
    reason = "release-gives-way" if rule.gives_way == "yes" else "release-holds"
    value = rule.release_by or rule.release_from
    return [Due("release", opens, closes, reason, graft.set_on.first, value, graft.binding)]


def _brace_due(looks: Sequence[Look], acts: Sequence[Act], rules: CareRules) -> list[Due]:
    limit = rules.brace_mm.value
    measured = [k for k in ordered(looks) if k.shoot_mm is not None and k.state not in ("broken", "eaten")]
    if not isinstance(limit, (int, float)) or not measured or _last(acts, "brace"):
        return []
    last = measured[-1]
    if last.shoot_mm is None or last.shoot_mm < limit:
        return []
    return [Due("brace", last.on.last, None, "long-shoot", last.on.last, rules.brace_mm, f"{last.shoot_mm:g}")]


def tree_due(grafts: Sequence[tuple[Graft, Standing]], acts: Sequence[Act], rules: CareRules) -> tuple[Due, ...]:
    """Windows of what a tree as a whole is due for: rubbing the stock's shoots while a young graft lives on it.

    Parameters
    ----------
    grafts : sequence of (Graft, Standing)
    acts : sequence of Act
        Those on the tree, its limbs and its grafts.
    """
    covers = _standing_cover(acts, rules)
    living = [g for g, s in grafts if s.mark != "lost"]
    if not living:
        return covers
    newest = max(living, key=lambda g: g.set_on.last)
    end = newest.set_on.last + timedelta(days=_days(rules.rub_until))
    last = _last(acts, "rub")
    since = last.on.last if last and last.on.last >= newest.set_on.first else newest.set_on.last
    early = since < newest.set_on.last + timedelta(days=_days(rules.rub_weekly))
    every = rules.rub_every_early if early else rules.rub_every_late
    opens = since + timedelta(days=_days(every))
    if opens > end:
        return covers
    reason = "rub-again" if last and since == last.on.last else "rub-first"
    return (*covers, Due("rub", opens, None, reason, since, every, ends=end))


def _standing_cover(acts: Sequence[Act], rules: CareRules) -> tuple[Due, ...]:
    """A cover on the whole tree or on a limb (fleece, shade) that was put on and never taken off."""
    on: dict[str | None, Act] = {}
    for act in sorted((a for a in acts if a.graft is None), key=lambda a: (a.on.first, a.id)):
        if act.kind == "cover on":
            on[act.limb] = act
        elif act.kind == "cover off":
            on.pop(act.limb, None)
    return tuple(
        Due(
            "cover",
            act.on.last + timedelta(days=_days(rules.cover_max)),
            None,
            "cover-still-on",
            act.on.last,
            rules.cover_max,
            act.detail or "cover",
        )
        for act in on.values()
    )


def on_walk(graft: Graft, standing: Standing, acts: Sequence[Act], due: Sequence[Due]) -> bool:
    """Whether a graft belongs to the walk-round: alive, and waiting or with anything still open."""
    return standing.mark != "lost" and (standing.word == "waiting" or bool(due) or cover_on(graft, acts) is not None)


def shade_due(days: Sequence[tuple[date, float]], heat_c: Value) -> Due | None:
    """Shade before the first coming day whose high reaches the heat line.

    Parameters
    ----------
    days : sequence of (day, high [°C])
        Coming days, in order.
    heat_c : Value
        Line above which a wrapped scion is in danger [°C].
    """
    if not isinstance(heat_c.value, (int, float)):
        return None
    for day, high in days:
        if high >= heat_c.value:
            return Due("shade", day - timedelta(days=1), day, "heat-coming", day, heat_c, f"{high:.1f}")
    return None
