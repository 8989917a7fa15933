"""The chain that a new top would stand on: typed, or as the book believes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.kinds import Kinds
from barkslip.app.trees import find_limb, find_tree
from barkslip.domain.errors import InputError
from barkslip.domain.fits import ONTO, Choice, Kind, Level
from barkslip.domain.names import same_word
from barkslip.domain.tree import UNKNOWN, Candidate, ChainLink, Limb, Tree, check_candidates, complete

Fields = Mapping[str, str]
#: Levels under a new top, from the top down.
_UNDER = ("framework", "interstock", "rootstock")
#: Most parts of a typed chain.
_MOST_PARTS = 5


def typed_levels(kinds: Kinds, text: str) -> tuple[Level, ...]:
    """The levels of a chain as typed from the top down: "mandarin / trifoliate orange=45% | rough lemon=20%".

    Raises
    ------
    InputError
        For a name that is not known (the nearest three are named), or shares that are more than certainty.
    """
    parts = [part.strip() for part in text.split("/")]
    if len(parts) > _MOST_PARTS or (len(parts) > 1 and not all(parts)):
        raise InputError(
            "Not a chain.",
            given=text,
            allowed=f"up to {_MOST_PARTS} parts from the top down with slashes between; ? for what is not known",
            next_step="Write it as in: mandarin / trifoliate orange.",
            field="chain",
        )
    names = ["interstock"] * (len(parts) - 1) + ["rootstock"]
    return tuple(
        _level(kinds, name, _typed_candidates(part), typed=True) for name, part in zip(names, parts, strict=True)
    )


def _typed_candidates(part: str) -> tuple[Candidate, ...]:
    answers = []
    several = part.split("|")
    for one in several:
        name, _, share = one.partition("=")
        answers.append(Candidate(name.strip() or UNKNOWN, _share(share, one) if share else 1.0 / len(several)))
    check_candidates("rootstock", tuple(answers))
    return tuple(answers)


def _share(text: str, whole: str) -> float:
    try:
        value = float(text.strip().rstrip("% ").replace(",", "."))
    except ValueError:
        raise InputError(
            "A belief is a share.",
            given=whole.strip(),
            allowed="0 to 1 (or 0 to 100 %)",
            next_step="Correct the belief.",
            field="chain",
        ) from None
    return value / 100.0 if text.strip().endswith("%") or value > 1 else value


def book_levels(
    ctx: Context, kinds: Kinds, at: Door, fields: Fields
) -> tuple[tuple[Level, ...], Tree, tuple[str, ...]]:
    """The levels under a new top on a tree of the book, the tree, and codes of what must be said about them.

    Parameters
    ----------
    fields : mapping
        tree, limb (address), onto (one of `ONTO`).
    """
    onto = at.choice(fields, "onto", ONTO, "top")
    with ctx.book.read() as reader:
        tree = find_tree(reader, fields["tree"])
        limb = find_limb(reader, tree, fields["limb"]) if fields.get("limb") else None
        links = reader.every(ChainLink, "tree = :tree", tree=tree.thing)
    mine = [k for k in links if k.limb in (None, limb.thing if limb else None)]
    found = {k.level: k.candidates for k in sorted(mine, key=lambda k: k.limb is not None)}
    levels = []
    if onto == "top":
        top = _top_candidates(found, limb)
        if top:
            levels.append(_level(kinds, "framework", top))
    if onto != "rootstock" and "interstock" in found:
        levels.append(_level(kinds, "interstock", found["interstock"]))
    if "own roots" in found:
        levels.append(_level(kinds, "own roots", found["own roots"]))
    else:
        levels.append(_level(kinds, "rootstock", found.get("rootstock", ())))
    return tuple(levels), tree, _notes(tree, limb, levels, onto, at.today.year)


def _top_candidates(found: Mapping[str, tuple[Candidate, ...]], limb: Limb | None) -> tuple[Candidate, ...]:
    """What the new top would touch: what the limb carries, else the framework, else the top the tree came with."""
    if limb is not None and limb.carries:
        under = found.get("interstock", ())
        bare = limb.carries.partition("(")[0]
        if any(same_word(bare, c.taxon.partition("(")[0]) for c in under):
            return ()
        return (Candidate(limb.carries, 1.0),)
    return found.get("framework") or found.get("scion") or ()


def _notes(tree: Tree, limb: Limb | None, levels: Sequence[Level], onto: str, year: int) -> tuple[str, ...]:
    out = []
    if tree.planted is not None and len(levels) > 1:
        out.append(f"stood:{year - tree.planted.last.year}")
    if tree.fruit.lower() != "citrus":
        out.append("other_fruit")
    if limb is not None and not limb.proved:
        out.append("limb_not_proved")
    if any(level.level in ("framework", "interstock") for level in levels):
        out.append("old_wood")
    if onto != "top":
        out.append(f"onto_{onto}")
    return tuple(out)


def _level(kinds: Kinds, name: str, candidates: Sequence[Candidate], *, typed: bool = False) -> Level:
    choices: list[Choice] = []
    for one in complete(tuple(candidates)):
        found = kinds.below(one.taxon) if typed else kinds.written(one.taxon, top=name == "framework")
        if found:
            choices.append(Choice(one.taxon, found, one.belief))
        elif name == "rootstock":
            choices += guesses(kinds, one.belief)
        else:
            choices.append(Choice(UNKNOWN, (Kind("?"),), one.belief))
    return Level(name, tuple(choices))


def guesses(kinds: Kinds, share: float) -> list[Choice]:
    """A share that is not known, spread over the groups of stocks as widely as is believed before any look, and within
    a group evenly over its stocks."""
    rows = kinds.knowledge.table("stock_groups")
    weights = []
    for row in rows:
        value = kinds.knowledge.value(f"stock_looks.prior.{row.key}").value
        weights.append(float(value) if isinstance(value, (int, float)) else 1.0)
    total = sum(weights)
    out = []
    for row, weight in zip(rows, weights, strict=True):
        members = kinds.members(row)
        each = share * weight / total / max(len(members), 1)
        out += [Choice(stock.name, (stock,), each, guessed=True) for stock in members if each > 0]
    return out
