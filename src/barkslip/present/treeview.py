"""A tree drawn from the book: from above with bearings, from the side with heights.

Both are pictures of 360 units across that shrink and grow with the page; words in them are 13 units or more.
Everything in them stands in the page's table too.
"""

from __future__ import annotations

from markupsafe import Markup

from barkslip.domain.cards import TreeStory
from barkslip.domain.garden import Garden
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, limbs, tree
from barkslip.present.above import sheet_above
from barkslip.present.side import sheet_side


def from_above(story: TreeStory, units: UnitChoice = METRIC) -> Markup:
    """The tree from above, north up: canopy rings, limbs by bearing, a mark for each graft."""
    sheet = sheet_above(story, units)
    name = story.card.tree.name
    desc = f"North is up. {counts.opening(tree.holds(story.card))}. The table on this page says the same in words."
    return Markup(limbs.finish(sheet, f"{name} from above", desc, "treeview above"))


def from_side(story: TreeStory, facing: str = "north", units: UnitChoice = METRIC) -> Markup:
    """The tree from one side: soil, union and bench with their heights, limbs up to their tips.

    Parameters
    ----------
    facing : {"north", "east", "south", "west"}
        Where the one who looks stands: from the north, west is on the right hand.
    """
    sheet = sheet_side(story, facing, units)
    name = story.card.tree.name
    desc = f"{tree.heights_words(story, units)} The table on this page says the same in words."
    return Markup(limbs.finish(sheet, f"{name} from the {facing}", desc, "treeview side"))


def sunny_side(garden: Garden | None) -> str:
    """The side at which the midday sun stands: north in the southern hemisphere, south elsewhere."""
    return "north" if garden is not None and garden.lat is not None and garden.lat < 0 else "south"
