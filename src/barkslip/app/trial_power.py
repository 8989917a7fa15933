"""How many grafts, nights or units a trial needs, asked before it starts. Needs no book."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.lines import Fields
from barkslip.app.plot_offset import number
from barkslip.app.settings import Settings
from barkslip.app.trial_plans import share, wanted_power
from barkslip.domain.errors import InputError
from barkslip.domain.power import MeasuredPower, StopRule, TakePower

if TYPE_CHECKING:
    from barkslip.knowledge.load import Knowledge

#: Most in each arm that may be asked about.
MOST_ASKED = 600


def ask_power(ctx: Context | None, settings: Settings, fields: Fields) -> TakePower | MeasuredPower:
    """How many are needed to see a difference, and what a given number sees.

    Parameters
    ----------
    ctx : Context or None
        None without a book.
    fields : mapping
        For takes: a, b (shares), power, alpha, n (in each arm), per_tree and icc (whole trees in one arm),
        stop_every (in each arm between two looks). For what is measured: difference, sd, paired (yes or no), power,
        alpha, n.

    Raises
    ------
    InputError
    """
    from barkslip.app.frost import night_door
    from barkslip.engines import power as engine

    at = night_door(ctx, settings, fields)
    known = (ctx.knowledge if ctx is not None else _knowledge(settings)).value
    alpha = _alpha(at, fields, number(known, "trials.alpha"))
    wanted = wanted_power(at, fields, number(known, "trials.power"))
    n = at.count(fields, "n", most=MOST_ASKED)
    if at.text(fields, "difference") or at.text(fields, "sd"):
        difference, sd = (_positive(at, fields, name) for name in ("difference", "sd"))
        paired = at.text(fields, "paired", "yes").lower() not in ("no", "0", "false")
        return engine.measured_power(difference, sd, paired=paired, alpha=alpha, wanted=wanted, own_n=n)
    a, b = (share(at, fields, name) for name in ("a", "b"))
    _apart(at, fields, a, b)
    per_tree = at.count(fields, "per_tree", most=200) or 1
    icc = share(at, fields, "icc", number(known, "trials.icc")) if per_tree > 1 else 0.0
    stop = _stop(at, fields, a, b, n or engine.fisher_n(a, b, alpha, wanted), alpha)
    return engine.take_power(a, b, alpha=alpha, wanted=wanted, own_n=n, per_tree=per_tree, icc=icc, stop=stop)


def _knowledge(settings: Settings) -> Knowledge:
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def _alpha(at: Door, fields: Fields, default: float) -> float:
    value = share(at, fields, "alpha", default)
    if not 0.001 <= value <= 0.5:
        raise InputError(
            "Nobody runs a trial with that false alarm.",
            given=at.text(fields, "alpha"),
            allowed="0.001 to 0.5; 0.05 is usual",
            next_step="Leave it out.",
            field="alpha",
        )
    return value


def _positive(at: Door, fields: Fields, name: str) -> float:
    value = at.number(fields, name, 0.0, 100_000.0)
    if not value:
        raise InputError(
            "A difference and its spread are both needed, and both over 0.",
            given=at.text(fields, name) or "(nothing)",
            allowed="a number over 0 for each, in the same unit",
            next_step="The spread is that of the differences within a night or tree, such as 1 K.",
            field=name,
        )
    return value


def _apart(at: Door, fields: Fields, a: float, b: float) -> None:
    if abs(a - b) < 0.005:
        raise InputError(
            "Those two takes are the same: no number of grafts can tell them apart.",
            given=f"{at.text(fields, 'a')} and {at.text(fields, 'b')}",
            allowed="two takes that differ by 1 point or more",
            next_step="Type the take of the usual way, and the least that the other must reach to be worth it.",
            field="b",
        )


def _stop(at: Door, fields: Fields, a: float, b: float, most: int | None, alpha: float) -> StopRule | None:
    every = at.count(fields, "stop_every", most=MOST_ASKED)
    if not every or most is None:
        return None
    from barkslip.engines.stopping import MOST_EACH, stop_rule, with_takes

    if most > MOST_EACH or every >= most:
        raise InputError(
            "A trial of that size has no looks in between.",
            given=f"a look after every {every}, {most} in each arm",
            allowed=f"at most {MOST_EACH} in each arm, and fewer between two looks than there are",
            next_step="Give the end with --n, such as --n 40 --stop-every 5.",
            field="stop_every",
        )
    return with_takes(stop_rule(most, every, alpha), a, b)
