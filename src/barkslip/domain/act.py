"""What was done, what happened, what was photographed."""

from __future__ import annotations

from dataclasses import dataclass, field

from barkslip.domain.entry import Entry
from barkslip.domain.errors import InputError
from barkslip.domain.when import When

#: Kind of act -> what it means.
ACTS = {
    "release": "binding cut or loosened",
    "rub": "stock shoots rubbed off",
    "brace": "shoot tied to a stake or splint",
    "cover on": "cover put on",
    "cover off": "cover taken off",
    "wrap check": "looked under the wrap for wet, mould and insects",
    "shade": "shade put up",
    "head back": "stock or limb cut back above the graft",
    "whiten": "bark whitened against sun",
    "bark test": "flap of bark lifted to see whether it parts",
    "water": "watered",
    "feed": "fed",
    "other": "anything else, in words",
}
EVENTS = ("still frost", "windy frost", "heat", "hot dry wind", "hail", "flood", "drought", "pest", "note", "question")


@dataclass(frozen=True, kw_only=True)
class Act(Entry):
    """Something done to a graft, a limb, a tree or a plot.

    Parameters
    ----------
    kind : str
        Key of `ACTS`.
    on : When
    graft, limb, tree, plot : str or None
        Thing id of what it was done to: exactly one is set.
    amount_l : float or None
        Litres, for water.
    count : int or None
        How many (stock shoots rubbed off).
    detail : str
        Kind of cover, paint, binding ...
    note : str
    """

    kind: str
    on: When
    graft: str | None = None
    limb: str | None = None
    tree: str | None = None
    plot: str | None = None
    amount_l: float | None = None
    count: int | None = None
    detail: str = ""
    note: str = ""


def check_act(kind: str, targets: int) -> str:
    """The kind of act as the book writes it.

    Raises
    ------
    InputError
        If the kind is unknown or not exactly one target is named.
    """
    word = " ".join(kind.strip().lower().replace("_", " ").replace("-", " ").split())
    if word not in ACTS:
        raise InputError(
            "No such act.",
            given=kind or "(nothing)",
            allowed=", ".join(ACTS),
            next_step="Choose one, or take other and say it in the note.",
            field="kind",
        )
    if targets != 1:
        raise InputError(
            "An act is done to one thing.",
            given=f"{targets} named",
            allowed="one graft, limb, tree or plot",
            next_step="Name exactly one; repeat the act for others.",
            field="target",
        )
    return word


@dataclass(frozen=True, kw_only=True)
class Event(Entry):
    """Something that happened to the garden.

    Parameters
    ----------
    kind : str
        One of `EVENTS`.
    on : When
    text : str
    plots : tuple of str
        Thing ids; empty for the whole garden.
    tree : str or None
        Thing id, if it concerns one tree.
    figures : dict
        Numbers noted with it, keys carry units ("low_c.LOW": -5.8).
    """

    kind: str
    on: When
    text: str
    plots: tuple[str, ...] = ()
    tree: str | None = None
    figures: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Photo(Entry):
    """A picture in the book's folder.

    Parameters
    ----------
    file : str
        Name in the photo folder: sha256 of the content and an ending.
    on : When
    about : str
        Thing id of what is on it (graft, limb, tree, lot, look).
    caption : str
    width_px, height_px : int
    """

    file: str
    on: When
    about: str
    caption: str = ""
    width_px: int = 0
    height_px: int = 0
