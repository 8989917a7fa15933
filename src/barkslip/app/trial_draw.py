"""What is drawn by lot for a trial: places in blocks, trees through nights, or units without blocks."""

from __future__ import annotations

import re
from collections.abc import Mapping

from barkslip.app.door import Door
from barkslip.domain.errors import InputError

Fields = Mapping[str, str]
#: "T01 N x4", "T01 N ×4", "T01 N: 4": a block and its places.
_BLOCK = re.compile(r"^(?P<name>.+?)(?:(?:\s+x\s*|\s*[×:*]\s*)(?P<places>\d{1,3}))?$")
#: Most units of one draw.
MOST_UNITS = 1000


def draw_of(at: Door, fields: Fields, arms: tuple[str, ...], unit: str, seed: int, code: str) -> dict[str, list[str]]:
    """Unit -> [block, arm].

    Parameters
    ----------
    fields : mapping
        blocks (one a line or ; between them, each with its places: "T01 N x4"), each (units in each arm, without
        blocks), nights (blocks are trees then, and covers change over from night to night).
    seed : int
        Of the lot.
    code : str
        Of the trial; units are numbered after it.

    Raises
    ------
    InputError
    """
    nights = at.count(fields, "nights", most=200)
    blocks = _blocks(at, fields, len(arms))
    if unit == "night" or nights:
        return _nights(blocks, nights, arms, seed)
    if blocks:
        if sum(places for _, places in blocks) > MOST_UNITS:
            raise _too_many("blocks")
        return _in_blocks(blocks, arms, seed, code)
    each = at.count(fields, "each", most=MOST_UNITS)
    if not each:
        raise InputError(
            "It is not said what the lot is drawn over.",
            given="(nothing)",
            allowed="blocks with their places (T01 N x4; T02 N x4), or how many in each arm",
            next_step="Name the trees and sides, and how many places each has: arms are compared within them.",
            field="blocks",
        )
    if each * len(arms) > MOST_UNITS:
        raise _too_many("each")
    return _in_blocks([("", each * len(arms))], arms, seed, code)


def _blocks(at: Door, fields: Fields, arms: int) -> list[tuple[str, int]]:
    out: list[tuple[str, int]] = []
    for line in at.text(fields, "blocks").replace(";", "\n").split("\n"):
        match = _BLOCK.match(line.strip())
        if match is None:
            continue
        name = " ".join(match["name"].split())
        if any(name.lower() == other.lower() for other, _ in out):
            raise InputError(
                "A block is named twice.",
                given=name,
                allowed="each block once, with all its places",
                next_step=f"Put its places together: {name} x{2 * arms}",
                field="blocks",
            )
        places = int(match["places"]) if match["places"] else arms
        if not places:
            raise InputError(
                "A block without places holds nothing.",
                given=line.strip(),
                allowed="1 or more places",
                next_step=f"Write {name} x{arms}, or leave the block out.",
                field="blocks",
            )
        out.append((name, places))
    return out


def _too_many(field: str) -> InputError:
    return InputError(
        "Those are more than a garden holds.",
        given="",
        allowed=f"{MOST_UNITS} units at most",
        next_step="Check the numbers.",
        field=field,
    )


def _in_blocks(blocks: list[tuple[str, int]], arms: tuple[str, ...], seed: int, code: str) -> dict[str, list[str]]:
    from barkslip.engines.lot_draw import in_blocks

    total = sum(places for _, places in blocks)
    width = max(2, len(str(total)))
    out: dict[str, list[str]] = {}
    for (name, _), drawn in zip(blocks, in_blocks(arms, [p for _, p in blocks], seed), strict=True):
        for arm in drawn:
            out[f"{code}-{len(out) + 1:0{width}d}"] = [name, arm]
    return out


def _nights(
    blocks: list[tuple[str, int]], nights: int | None, arms: tuple[str, ...], seed: int
) -> dict[str, list[str]]:
    from barkslip.engines.lot_draw import crossover

    trees = [name for name, _ in blocks]
    if not nights or len(trees) < 2:
        raise InputError(
            "Nights that change over need trees and a number of nights.",
            given=f"{len(trees)} trees, {nights or 0} nights",
            allowed="two trees or more (--block T03 --block T10), and 2 nights or more",
            next_step=f"Best are as many trees as ways ({len(arms)}): each tree then gets each cover as often.",
            field="nights" if len(trees) > 1 else "blocks",
        )
    if len(trees) * nights > MOST_UNITS:
        raise _too_many("nights")
    out: dict[str, list[str]] = {}
    for n, row in enumerate(crossover(arms, len(trees), nights, seed), start=1):
        for tree, arm in zip(trees, row, strict=True):
            out[f"{tree} night {n}"] = [f"night {n}", arm]
    return out
