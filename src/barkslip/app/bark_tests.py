"""Tests of the bark in the book: the last one that still holds for a tree or a limb."""

from __future__ import annotations

from datetime import date, timedelta

from barkslip.app.context import Context
from barkslip.app.trees import find_limb, find_tree
from barkslip.domain.act import Act
from barkslip.domain.tree import Limb, Tree
from barkslip.fieldbook.reader import Reader

#: How long a test of the bark speaks for the tree [d]; an assumption: cold or drought may end the slip within a week.
HOLDS_DAYS = 10


def last_bark_test(ctx: Context, tree: str, on: date | None = None, *, limb: str = "") -> Act | None:
    """The newest test of the bark of a tree that still holds.

    Parameters
    ----------
    tree : str
        Code or name.
    on : date or None
        Day on which it must hold; None for today.
    limb : str
        Address or label: then the limb's own test counts first, else that of the whole tree. Without it any test on the
        tree or a limb counts.

    Returns
    -------
    Act or None
        None if there is none of the last `HOLDS_DAYS` days.

    Raises
    ------
    NotFoundError
        If there is no such tree.
    InputError
        If there is no such limb on it.
    """
    day = on or ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        stem = find_tree(reader, tree)
        branch = find_limb(reader, stem, limb) if limb else None
        return holding_test(reader, stem, branch, day)


def holding_test(reader: Reader, tree: Tree, limb: Limb | None, day: date) -> Act | None:
    """As `last_bark_test`, for one who is reading already."""
    since = (day - timedelta(days=HOLDS_DAYS)).isoformat()
    when = "kind = 'bark test' AND act.on_last >= :since AND act.on_first <= :day"
    values = {"since": since, "day": day.isoformat()}
    whole = reader.every(Act, f"act.tree = :tree AND {when}", tree=tree.thing, **values)
    on_limbs = reader.every(
        Act,
        f"b.tree = :tree AND b.current AND NOT b.withdrawn AND {when}",
        join="JOIN limb b ON b.thing = act.limb",
        order="act.id",
        tree=tree.thing,
        **values,
    )
    if limb is not None:
        own = [a for a in on_limbs if a.limb == limb.thing]
        found = own or whole
    else:
        found = [*whole, *on_limbs]
    return max(found, key=lambda a: (a.on.first, a.id), default=None)
