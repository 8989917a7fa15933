"""Writing tastings down, and laying out a coded tasting."""

from __future__ import annotations

import re

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.frost import night_door
from barkslip.app.juice import read_acid, read_brix, read_temp
from barkslip.app.lines import Fields, already, begin, door, kept, old_line
from barkslip.app.settings import Settings
from barkslip.app.trees import find_tree
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.taste import TasteSheet
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Tree
from barkslip.domain.units import parse_quantity
from barkslip.fieldbook.reader import Reader

#: Most samples and tasters of one coded tasting: palates tire.
MOST_SAMPLES, MOST_TASTERS = 8, 30


def save_tasting(ctx: Context, fields: Fields, *, tasting: str = "") -> Tasting:
    """Write a tasting down, or correct the one with thing id `tasting`.

    Parameters
    ----------
    fields : mapping
        tree, variety, on, campaign (or a graft's code), fruit, panel, scores (7 6 8: one for each taster) or score,
        brix, acid, temp, juice (per cent) or juice_g with fruit_g, fruit_g, dry, seeds, crop, note.

    Raises
    ------
    InputError, NotFoundError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Tasting, fields)
        if sent:
            return sent
        old = old_line(writer, Tasting, fields, tasting) if tasting else None
        tree = _tree(writer, at, fields, old)
        campaign = kept(fields, old, "campaign", lambda: _campaign(writer, at.text(fields, "campaign"), tree))
        scores = _scores(at, fields)
        fruit_g = kept(fields, old, "fruit_g", lambda: _grams(at, fields, "fruit_g"))
        fruit_n = kept(fields, old, "fruit", lambda: at.count(fields, "fruit", most=1000), "fruit_n")
        new = Tasting(
            **begin(ctx, fields, old),
            on=kept(fields, old, "on", lambda: at.day(fields, "on", "today")),
            tree=tree.thing,
            variety=kept(fields, old, "variety", lambda: _variety(writer, at, fields, campaign, tree)),
            campaign=campaign,
            fruit_n=fruit_n,
            panel=len(scores) if scores else kept(fields, old, "panel", lambda: at.count(fields, "panel", most=200)),
            brix=kept(fields, old, "brix", lambda: read_brix(at, fields)),
            acid_pct=kept(fields, old, "acid", lambda: read_acid(at, fields), "acid_pct"),
            score9=sum(scores) / len(scores)
            if scores
            else kept(fields, old, "score", lambda: at.number(fields, "score", 1.0, 9.0), "score9"),
            seeds_per_fruit=kept(
                fields, old, "seeds", lambda: at.number(fields, "seeds", 0.0, 200.0), "seeds_per_fruit"
            ),
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
            crop=kept(fields, old, "crop", lambda: _crop(at, fields)),
            juice_pct=_juice(at, fields, fruit_g, old),
            fruit_g=fruit_g,
            dry_n=kept(fields, old, "dry", lambda: _dry(at, fields, fruit_n), "dry_n"),
            temp_c=kept(fields, old, "temp", lambda: _temp(at, fields), "temp_c"),
        )
        writer.append(new)
    return new


def _tree(reader: Reader, at: Door, fields: Fields, old: Tasting | None) -> Tree:
    if old is not None and "tree" not in fields:
        return reader.get(Tree, old.tree)
    return find_tree(reader, at.required(fields, "tree", "tree"))


def _campaign(reader: Reader, typed: str, tree: Tree) -> str:
    """The campaign by its code or by one of its grafts; it must stand on the tree."""
    if not typed:
        return ""
    grafts = reader.every(Graft, "tree = :t AND (campaign = :c COLLATE NOCASE OR code = :c COLLATE NOCASE)",
                          t=tree.thing, c=typed)  # fmt: skip
    if not grafts:
        here = sorted({g.campaign for g in reader.every(Graft, "tree = :t", t=tree.thing) if g.campaign})
        raise InputError(
            f"No such grafts stand on {tree.code} {tree.name}.",
            given=typed,
            allowed=", ".join(here) or "no grafts are written down for this tree",
            next_step="Choose one of these, or leave it out.",
            field="campaign",
        )
    return grafts[0].campaign


def _variety(reader: Reader, at: Door, fields: Fields, campaign: str, tree: Tree) -> str:
    typed = at.text(fields, "variety")
    if typed or not campaign:
        return typed or at.required(fields, "variety", "name of the variety")
    from barkslip.domain.budwood import WoodLot

    for g in reader.every(Graft, "tree = :t AND campaign = :c", t=tree.thing, c=campaign):
        name = g.name or (reader.get(WoodLot, g.lot).name if g.lot else "")
        if name:
            return name
    return at.required(fields, "variety", "name of the variety")


def _scores(at: Door, fields: Fields) -> list[float]:
    words = re.split(r"[\s,;]+", at.text(fields, "scores"))
    out = []
    for word in (w for w in words if w):
        value = at.number({"scores": word}, "scores", 1.0, 9.0)
        if value is not None:
            out.append(value)
    return out


def _grams(at: Door, fields: Fields, name: str) -> float | None:
    text = at.text(fields, name)
    if not text:
        return None
    grams = parse_quantity(text, "mass", default_unit="g" if at.units.mass == "g" else "oz", field=name)
    if not 0.0 < grams <= 5000.0:
        raise InputError(
            "No fruit weighs that.",
            given=text,
            allowed="over 0, to 5 kg",
            next_step="Type the mean mass of one fruit.",
            field=name,
        )
    return grams


def _juice(at: Door, fields: Fields, fruit_g: float | None, old: Tasting | None) -> float | None:
    typed = at.number(fields, "juice", 0.0, 100.0, unit="%")
    grams = at.text(fields, "juice_g")
    if typed is not None or not grams:
        return kept(fields, old, "juice", lambda: typed, "juice_pct")
    juice_g = _grams(at, fields, "juice_g")
    if fruit_g is None or juice_g is None or juice_g >= fruit_g:
        raise InputError(
            "Juice weighs less than its fruit." if fruit_g is not None else "The mass of the fruit is missing.",
            given=f"juice {grams}" + (f", fruit {fruit_g:g} g" if fruit_g is not None else ""),
            allowed="juice of one fruit, and the mass of one fruit before it was pressed",
            next_step="Weigh the fruit, ream it, strain, weigh the juice; give both as means of one fruit.",
            field="juice_g" if fruit_g is not None else "fruit_g",
        )
    return 100.0 * juice_g / fruit_g


def _dry(at: Door, fields: Fields, fruit_n: int | None) -> int | None:
    dry = at.count(fields, "dry", most=1000)
    if dry is not None and fruit_n is not None and dry > fruit_n:
        raise InputError(
            "More fruits cannot be dry than were tasted.",
            given=f"{dry} of {fruit_n}",
            allowed=f"0 to {fruit_n}",
            next_step="Correct one of the two.",
            field="dry",
        )
    return dry


def _crop(at: Door, fields: Fields) -> int | None:
    crop = at.count(fields, "crop", most=100)
    if crop == 0:
        raise InputError(
            "Crops are counted from 1.",
            given="0",
            allowed="1 or more",
            next_step="1 is the first crop of this variety on this tree.",
            field="crop",
        )
    return crop


def _temp(at: Door, fields: Fields) -> float | None:
    """The juice's temperature; the instrument that corrects by itself leaves none."""
    return None if at.yes(fields, "compensated") else read_temp(at, fields)


def lay_out(ctx: Context | None, settings: Settings, fields: Fields) -> TasteSheet:
    """A coded tasting. It writes nothing.

    Parameters
    ----------
    fields : mapping
        samples (one a line or ; between them), tasters, seed.

    Raises
    ------
    InputError
    """
    from barkslip.engines.taste_sheet import sheet

    at = night_door(ctx, settings, fields)
    typed = at.text(fields, "samples").replace(";", "\n").split("\n")
    samples = list(dict.fromkeys(" ".join(s.split()) for s in typed if s.strip()))
    if not 2 <= len(samples) <= MOST_SAMPLES:
        raise InputError(
            "A coded tasting needs at least two samples."
            if len(samples) < 2
            else "Palates tire before so many samples.",
            given=", ".join(samples) or "(nothing)",
            allowed=f"2 to {MOST_SAMPLES} different samples, one a line or with ; between them",
            next_step="Put a bought fruit of the same kind beside your own."
            if len(samples) < 2
            else "Taste in two sessions.",
            field="samples",
        )
    tasters = at.count(fields, "tasters", most=MOST_TASTERS)
    tasters = 4 if tasters is None else tasters
    if not tasters:
        raise InputError(
            "Somebody must taste.",
            given="0",
            allowed=f"1 to {MOST_TASTERS}",
            next_step="Type how many people taste.",
            field="tasters",
        )
    seed = at.count(fields, "seed", most=999_999)
    return sheet(samples, tasters, _drawn(ctx) if seed is None else seed)


def _drawn(ctx: Context | None) -> int:
    if ctx is not None:
        return ctx.random_bits(20) % 999_999 + 1
    import os

    return int.from_bytes(os.urandom(3)) % 999_999 + 1
