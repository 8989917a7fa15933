"""Harm: critical temperatures by species, organ, state and hardening, and the chance of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barkslip.domain.night import NightTree
from barkslip.domain.sourced import Value
from barkslip.engines.frost_draws import Array, Draws, Known, middle


@dataclass(frozen=True)
class ColdRow:
    """One line of the table of critical temperatures: for which crops, organ and state it holds."""

    crops: tuple[str, ...]
    organ: str
    state: str
    value: Value


@dataclass(frozen=True)
class Critical:
    """What is taken for one organ of one tree.

    Parameters
    ----------
    organ : str
        Key of `domain.night.ORGANS`.
    value : Value
    hardens : bool
        True if hardening lowers it.
    stand_in : bool
        True if nothing is known for this organ of this kind of tree.
    """

    organ: str
    value: Value
    hardens: bool
    stand_in: bool


#: Plain words by which a crop of the table is recognised in what the grower writes, most special first.
_WORDS = (
    ("meyer", "Meyer lemon"), ("satsuma", "satsuma"), ("kumquat", "kumquat"), ("tangerine", "tangerine"),
    ("clementine", "mandarin"), ("mandarin", "mandarin"), ("tangelo", "mandarin"), ("grapefruit", "grapefruit"),
    ("pummelo", "grapefruit"), ("lemon", "lemon"), ("lime", "lime"), ("citron", "citron"), ("navel", "orange"),
    ("orange", "orange"),
)  # fmt: skip
_WOOD = ("large branches", "wood", "leaves and wood", "whole tree")


def crop_of(species: str) -> str:
    """Crop of the table that a written species means; "" if none."""
    low = species.lower()
    return next((crop for word, crop in _WORDS if word in low), "")


def tenderest(kinds: Sequence[str], table: Sequence[ColdRow], known: Known) -> str:
    """Of the kinds on one tree the one that cold hurts first: by its leaves, then by its wood; "" for no kinds.

    A kind of which nothing is known counts as tender, as everywhere here.
    """

    def starts(kind: str) -> tuple[float, ...]:
        found = criticals(NightTree(kind, 1.0, 1.0), table, known)
        return tuple(middle(c.value) for organ in ("leaf_exposed", "bark") for c in found if c.organ == organ)

    return max(kinds, key=starts, default="")


def criticals(tree: NightTree, table: Sequence[ColdRow], known: Known) -> tuple[Critical, ...]:
    """Critical temperatures of the organs that this tree has tonight."""
    crop = crop_of(tree.species)
    mine = [r for r in table if crop and crop in r.crops and r.value.value is not None]
    tender = known("measures.tender_growth")
    leaves = next((r for r in mine if r.organ == "leaves and wood"), None)
    wood = [r for r in mine if r.organ in _WOOD and "rest" not in r.state and "young" not in r.state]
    # of several published numbers for the wood the tenderest decides; the others are shown on the knowledge page
    branch = max(wood, key=lambda r: middle(r.value)) if wood else None
    soft = tree.flush or tree.young_graft
    out = [
        Critical("leaf_exposed", leaves.value if leaves else tender, not tree.flush, leaves is None),
        Critical("leaf_inner", leaves.value if leaves else tender, not tree.flush, leaves is None),
        _twig(tree, mine, leaves, tender, soft),
        # a number that was found on hardened trees has its hardening in it already
        Critical(
            "bark", branch.value if branch else tender, branch is None or "hard" not in branch.state, branch is None
        ),
    ]
    if tree.fruit != "none":
        out.append(_fruit(tree, mine, table, known))
    return tuple(out)


def _twig(tree: NightTree, mine: Sequence[ColdRow], leaves: ColdRow | None, tender: Value, soft: bool) -> Critical:
    if tree.bloom:
        bloom = next((r for r in mine if r.state == "bloom"), None)
        if bloom is not None:
            return Critical("twig", bloom.value, False, False)
    if soft or tree.bloom:
        return Critical("twig", tender, False, True)
    return Critical("twig", leaves.value if leaves else tender, True, leaves is None)


def _fruit(tree: NightTree, mine: Sequence[ColdRow], table: Sequence[ColdRow], known: Known) -> Critical:
    def fits(row: ColdRow) -> bool:
        return row.organ == "fruit" and row.state.startswith(tree.fruit)

    own = [r for r in mine if fits(r)]
    if own:
        return Critical("fruit", max(own, key=lambda r: middle(r.value)).value, False, False)
    others = [r for r in table if fits(r) and r.value.value is not None]
    if others:
        return Critical("fruit", max(others, key=lambda r: middle(r.value)).value, False, True)
    return Critical("fruit", known("measures.tender_growth"), False, True)


def hardening_k(critical: Critical, tree: NightTree, draws: Draws, known: Known) -> Array:
    """What hardening lowers the critical temperature by [K], float64[members]; 0 where it is not known."""
    if not critical.hardens or tree.chill_h is None:
        return np.zeros(draws.members)
    share = min(max(tree.chill_h / middle(known("frost.hardening_hours")), 0.0), 1.0)
    return share * draws.of("hardening_shift", known("frost.hardening_shift"))


def critical_c(critical: Critical, tree: NightTree, draws: Draws, known: Known) -> Array:
    """Members' critical temperatures [°C], float64[members]; one draw shared by all organs."""
    value = critical.value
    drawn = draws.of(f"critical.{critical.organ}", value)
    return drawn - hardening_k(critical, tree, draws, known)


def chance_by_low(low_c: Array, start_c: Array, draws: Draws, known: Known) -> Array:
    """Chance of harm of each member from its lowest temperature: logistic, 1 in 10 at the start of harm, 9 in 10
    `frost.harm_span` below it. An assumption; no credit for supercooling.

    Parameters
    ----------
    low_c, start_c : float64[members] [°C]
    """
    span = draws.of("harm_span", known("frost.harm_span"))
    slope = 2.0 * np.log(9.0) / span
    return np.asarray(1.0 / (1.0 + np.exp(-(np.log(1.0 / 9.0) + slope * (start_c - low_c)))))


def chance_by_ice(ice: Array, draws: Draws, known: Known) -> Array:
    """Chance that fruit is hurt, from the largest share of its water that froze: none below the share of the
    knowledge base, sure above it; its range makes the spread. float64[members]."""
    return (ice >= draws.of("fruit_ice", known("measures.fruit_ice"))).astype(float)
