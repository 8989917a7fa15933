"""May wood be moved? The default is no; what an office has said stands beside it, with its day."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.clean import WoodRule

#: The only answer this program gives by itself.
DO_NOT_MOVE = "do not move"
#: What speaks against moving a lot.
MOVING_REASONS = ("regulated area", "refused", "thrown away", "held", "no paper", "own wood", "name not confirmed")


@dataclass(frozen=True)
class RuleCard:
    """A rule as the grower wrote it down.

    Parameters
    ----------
    rule : WoodRule
    ask_again : bool
        True if the day has come from which it must be asked again.
    age_d : int
        Days since it was asked or read.
    """

    rule: WoodRule
    ask_again: bool
    age_d: int


@dataclass(frozen=True)
class Moving:
    """What is to be said about moving wood.

    Parameters
    ----------
    state : str
        Always `DO_NOT_MOVE`: no rule that is written down changes it, only the office can.
    lot : str
        Code; "" if it is about the garden as a whole.
    reasons : tuple of str
        `MOVING_REASONS` of this lot.
    rules : tuple of RuleCard
        Newest first.
    garden_rules : str
        What the garden's own page says of rules.
    """

    state: str
    lot: str
    reasons: tuple[str, ...]
    rules: tuple[RuleCard, ...]
    garden_rules: str = ""


@dataclass(frozen=True)
class BladeWay:
    """A way of cleaning blades, and what it does.

    Parameters
    ----------
    name, concentration, target : str
    works : {"yes", "no", "partly"}
    seconds : (float, float) or None
        Shortest and longest contact tried [s].
    avoid : bool
        True if it is dangerous to people and named only because it was tried.
    note, source, citation, status : str
    """

    name: str
    concentration: str
    target: str
    works: str
    seconds: tuple[float, float] | None
    avoid: bool
    note: str
    source: str
    citation: str
    status: str


@dataclass(frozen=True)
class BagLabel:
    """What stands on the label of a bag of wood.

    Parameters
    ----------
    lot : str
    name : str
        By the Code (ICNCP).
    claimed : str
        Other name it came under; "" if it is the same.
    botanical : str
        Botanical name if it is known and says more; else "".
    cut : str
        ISO day or range; as MCPD date in `cut_mcpd`.
    cut_mcpd : str
    source, paper, storage : str
    sticks : int or None
    moving : Moving
    garden : str
    invented : bool
    """

    lot: str
    name: str
    claimed: str
    botanical: str
    cut: str
    cut_mcpd: str
    source: str
    paper: str
    storage: str
    sticks: int | None
    moving: Moving
    garden: str
    invented: bool
