"""Trees, limbs and what they stand on."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

from barkslip.app.cards import graft_cards, tree_cards
from barkslip.app.context import Context
from barkslip.app.derive import refresh
from barkslip.app.door import Door
from barkslip.app.garden import ask_same_name, plots_in_order
from barkslip.app.lines import Fields, already, begin, door, free_code, kept, next_code, old_line
from barkslip.app.names import tree_chain
from barkslip.domain.act import Act, Event, Photo
from barkslip.domain.budwood import LotFind
from barkslip.domain.cards import GraftCard, LimbCard, TreeCard, TreeStory, Version
from barkslip.domain.errors import InputError, NotFoundError, QuestionError
from barkslip.domain.graft import Graft, Look
from barkslip.domain.names import same_word
from barkslip.domain.sign import Sign
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import (
    BEARING_DEG,
    LEVELS,
    Candidate,
    ChainLink,
    Limb,
    Tree,
    check_candidates,
    parse_address,
)
from barkslip.fieldbook.reader import Reader

#: Trees on one page of the list.
TREES_A_PAGE = 40


def save_tree(ctx: Context, fields: Fields, *, code: str = "") -> Tree:
    """Add a tree, or correct the one called `code`.

    Parameters
    ----------
    fields : mapping
        name, plot (code), code, fruit, planted, count, walk_order, union, bench, height, spread, note.

    Raises
    ------
    InputError, QuestionError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Tree, fields)
        if sent:
            return sent
        old = old_line(writer, Tree, fields, writer.by_code(Tree, code).thing) if code else None
        name = kept(fields, old, "name", lambda: at.required(fields, "name", "name of the tree"))
        others = [t for t in writer.every(Tree) if old is None or t.thing != old.thing]
        ask_same_name(name, [(t.code, t.name) for t in others], at, "tree")
        plot = kept(fields, old, "plot", lambda: _plot(writer, at.text(fields, "plot")))
        typed = at.text(fields, "code") or (old.code if old else next_code(writer, Tree, "T"))
        last = max((t.walk_order for t in others if t.plot == plot), default=0)
        tree = Tree(
            **begin(ctx, fields, old),
            code=free_code(writer, Tree, typed, old, "tree"),
            name=name,
            plot=plot,
            fruit=kept(fields, old, "fruit", lambda: at.text(fields, "fruit") or "citrus"),
            planted=kept(fields, old, "planted", lambda: at.when(fields, "planted")),
            count=kept(fields, old, "count", lambda: at.count(fields, "count", most=10_000)) or 1,
            walk_order=kept(fields, old, "walk_order", lambda: at.count(fields, "walk_order", most=9999)) or last + 1,
            union_mm=kept(fields, old, "union", lambda: at.length_mm(fields, "union", metric="cm"), "union_mm"),
            bench_mm=kept(fields, old, "bench", lambda: at.length_mm(fields, "bench", metric="cm"), "bench_mm"),
            height_mm=kept(fields, old, "height", lambda: at.length_mm(fields, "height", metric="m"), "height_mm"),
            spread_mm=kept(fields, old, "spread", lambda: at.length_mm(fields, "spread", metric="m"), "spread_mm"),
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        writer.append(tree)
        if old is not None:
            refresh(writer, [tree.thing], ctx.care)
    return tree


def _plot(reader: Reader, code: str) -> str:
    plots = plots_in_order(reader)
    if not code and len(plots) == 1:
        return plots[0].thing
    found = [p for p in plots if p.code.lower() == code.lower() or same_word(p.name, code)]
    if not found:
        raise InputError(
            "There is no such plot.",
            given=code or "(nothing)",
            allowed=", ".join(p.code for p in plots),
            next_step="Choose one of these plots, or add the plot first.",
            field="plot",
        )
    return found[0].thing


def find_tree(reader: Reader, text: str) -> Tree:
    """A tree by code, or by name in any case and spacing.

    Raises
    ------
    NotFoundError
    """
    try:
        return reader.by_code(Tree, text.strip())
    except NotFoundError as error:
        named = [t for t in reader.every(Tree) if same_word(t.name, text)]
        if len(named) == 1:
            return named[0]
        raise error from None


def save_limb(ctx: Context, fields: Fields, *, tree: str = "", limb: str = "") -> Limb:
    """Add a limb to a tree, or correct the limb with thing id `limb`.

    Parameters
    ----------
    fields : mapping
        address, label, base, tip, since, carries, proved, note.

    Raises
    ------
    InputError
        If the address is taken on this tree.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Limb, fields)
        if sent:
            return sent
        old = old_line(writer, Limb, fields, limb) if limb else None
        stem = writer.get(Tree, old.tree) if old else find_tree(writer, tree)
        if old is not None and "address" not in fields:
            bearing, band, path = old.bearing, old.band, old.path
        else:
            bearing, band, path = parse_address(at.required(fields, "address", "address of the limb"))
        new = Limb(
            **begin(ctx, fields, old),
            tree=stem.thing,
            bearing=bearing,
            band=band,
            path=path,
            label=kept(fields, old, "label", lambda: at.text(fields, "label")),
            base_mm=kept(fields, old, "base", lambda: at.length_mm(fields, "base", metric="cm"), "base_mm"),
            tip_mm=kept(fields, old, "tip", lambda: at.length_mm(fields, "tip", metric="cm"), "tip_mm"),
            since=kept(fields, old, "since", lambda: at.when(fields, "since")),
            carries=kept(fields, old, "carries", lambda: at.text(fields, "carries")),
            proved=kept(fields, old, "proved", lambda: at.yes(fields, "proved")),
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        for other in writer.every(Limb, "tree = :tree", tree=stem.thing):
            if other.address == new.address and other.thing != new.thing:
                raise InputError(
                    "A limb with that address is on this tree already.",
                    given=new.address,
                    allowed="an address of its own; add a letter or figure at the end",
                    next_step=f"Try {new.address}{'' if new.path else '-'}2.",
                    field="address",
                )
        writer.append(new)
        if old is not None:
            refresh(writer, [stem.thing], ctx.care)
    return new


def find_limb(reader: Reader, tree: Tree, text: str) -> Limb:
    """A limb of a tree by address, label, or any name it ever had.

    Raises
    ------
    InputError
        If it is a limb of another tree, or none at all.
    """
    mine = reader.every(Limb, "tree = :tree", tree=tree.thing)
    word = text.strip()
    for limb in mine:
        if word == limb.thing or same_word(limb.address, word) or (limb.label and same_word(limb.label, word)):
            return limb
    for limb in mine:
        for version in reader.versions(Limb, limb.thing):
            if same_word(version.address, word) or (version.label and same_word(version.label, word)):
                return limb
    for limb in reader.every(Limb, "thing = :thing", thing=word):
        other = reader.get(Tree, limb.tree)
        raise InputError(
            "That limb is on another tree.",
            given=f"{limb.address} of {other.code} {other.name}",
            allowed=", ".join(k.address for k in mine) or "no limb is written down for this tree yet",
            next_step=f"Choose a limb of {tree.code} {tree.name}, or change the tree.",
            field="limb",
        )
    raise InputError(
        f"There is no such limb on {tree.code} {tree.name}.",
        given=word,
        allowed=", ".join(f"{k.address}{f' ({k.label})' if k.label else ''}" for k in mine)
        or "no limb is written down for this tree yet",
        next_step="Choose one of these, or add the limb first.",
        field="limb",
    )


def read_candidates(at: Door, fields: Fields) -> tuple[Candidate, ...]:
    """Answers of a chain link: taxon_1, belief_1, evidence_1, taxon_2 ...; beliefs as shares or per cent.

    A single answer without a belief is believed fully.
    """
    rows = sorted({int(m[1]) for name in fields if (m := re.fullmatch(r"taxon_(\d+)", name))})
    out = []
    for i in rows:
        taxon = at.text(fields, f"taxon_{i}")
        if not taxon:
            continue
        typed = at.text(fields, f"belief_{i}")
        belief = None
        if typed:
            per_cent = typed.endswith("%")
            number = at.number({f"belief_{i}": typed.rstrip("% ")}, f"belief_{i}", 0, 100)
            belief = (number or 0.0) / 100 if per_cent or (number or 0) > 1 else number
        out.append((taxon, belief, at.text(fields, f"evidence_{i}")))
    blank = [k for k in out if k[1] is None]
    if blank and len(out) > 1:
        raise InputError(
            "With several answers each needs its belief.",
            given=", ".join(k[0] for k in blank),
            allowed="0 to 1, or 0 to 100 %",
            next_step="Give each answer a share; the rest is shown as unknown.",
            field="belief_1",
        )
    return tuple(Candidate(t, 1.0 if b is None else b, e) for t, b, e in out)


def save_link(ctx: Context, fields: Fields, *, tree: str) -> ChainLink:
    """Write down what a level of a tree is believed to be, from a day on.

    A link of the same level and limb is corrected; what was believed before is kept.

    Parameters
    ----------
    fields : mapping
        level, limb (optional), on, taxon_N, belief_N, evidence_N.

    Raises
    ------
    InputError
    """
    at = door(ctx, fields)
    level = at.choice(fields, "level", LEVELS)
    candidates = read_candidates(at, fields)
    check_candidates(level, candidates)
    day = at.day(fields, "on", "today")
    with ctx.book.write() as writer:
        sent = already(writer, ChainLink, fields)
        if sent:
            return sent
        stem = find_tree(writer, tree)
        named = at.text(fields, "limb")
        limb = find_limb(writer, stem, named).thing if named else None
        links = [k for k in writer.every(ChainLink, "tree = :tree", tree=stem.thing) if k.limb == limb]
        _refuse_two_roots(level, links)
        old = next((k for k in links if k.level == level), None)
        link = ChainLink(
            **begin(ctx, fields, old), tree=stem.thing, limb=limb, level=level, candidates=candidates, on=day
        )
        writer.append(link)
    return link


def _refuse_two_roots(level: str, links: list[ChainLink]) -> None:
    other = {"rootstock": "own roots", "own roots": "rootstock"}.get(level)
    if any(k.level == other for k in links):
        raise InputError(
            "A tree stands on a rootstock or on its own roots, not on both.",
            given=f"{level}, while the book has {other}",
            allowed=f"correct the link {other}, or take it back first",
            next_step=f"Take the link {other} back, then write down {level}.",
            field="level",
        )


def all_trees(ctx: Context) -> list[TreeCard]:
    """Cards of all trees in walking order."""
    return page_of_trees(ctx, 1, size=1_000_000)[0]


def page_of_trees(ctx: Context, page: int, *, size: int = TREES_A_PAGE) -> tuple[list[TreeCard], int]:
    """Cards of one page of the trees in walking order, and how many trees there are.

    Parameters
    ----------
    page : int
        From 1.
    """
    day = ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        order = {p.thing: (p.walk_order, p.code) for p in plots_in_order(reader)}
        keys = reader.rows("SELECT thing, plot, walk_order, code FROM tree WHERE current AND NOT withdrawn")
        keys.sort(key=lambda k: (order[k[1]], k[2], k[3]))
        things = [str(k[0]) for k in keys[(page - 1) * size : page * size]]
        trees = reader.many(Tree, things)
        return tree_cards(reader, [trees[t] for t in things], ctx.names, day), len(keys)


def tree_story(ctx: Context, code: str) -> TreeStory:
    """Everything about one tree.

    Raises
    ------
    NotFoundError
    """
    names = ctx.names
    day = ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        tree = find_tree(reader, code)
        links = reader.every(ChainLink, "tree = :tree", order="level", tree=tree.thing)
        beliefs = [v for link in links for v in reader.versions(ChainLink, link.thing)]
        grafts = reader.every(Graft, "tree = :tree", order="set_on_first, code", tree=tree.thing)
        cards = graft_cards(reader, grafts, names, day)
        limbs = _limb_cards(reader, tree, cards)
        events = reader.every(Event, "tree = :tree", order="on_first DESC", tree=tree.thing)
        return TreeStory(
            card=tree_cards(reader, [tree], names, day)[0],
            chain=tree_chain(links, names),
            links=tuple(links),
            beliefs=tuple(sorted(beliefs, key=lambda k: (k.on.first, k.made_utc), reverse=True)),
            limbs=limbs,
            loose=tuple(c for c in cards if c.limb is None),
            acts=tuple(_acts(reader, tree)),
            events=tuple(events),
            photos=tuple(reader.every(Photo, "about = :about", order="on_first DESC", about=tree.thing)),
            tastings=tuple(reader.every(Tasting, "tree = :tree", order="on_first DESC", tree=tree.thing)),
            past=past_versions(reader, Tree, tree.thing),
        )


def _acts(reader: Reader, tree: Tree) -> list[Act]:
    acts = reader.every(Act, "tree = :tree", tree=tree.thing)
    acts += reader.every(
        Act,
        "b.tree = :tree AND b.current AND NOT b.withdrawn",
        join="JOIN limb b ON b.thing = act.limb",
        order="act.id",
        tree=tree.thing,
    )
    return sorted(acts, key=lambda a: (a.on.first, a.id), reverse=True)


def _limb_cards(reader: Reader, tree: Tree, cards: list[GraftCard]) -> tuple[LimbCard, ...]:
    out = []
    for limb in reader.every(Limb, "tree = :tree", tree=tree.thing):
        former: list[tuple[str, str]] = []
        versions = reader.versions(Limb, limb.thing)
        for before, after in pairwise(versions):
            for was, now in ((before.address, after.address), (before.label, after.label)):
                if was and was != now:
                    former.append((was, after.since.first.isoformat() if after.since else after.made_utc[:10]))
        mine = tuple(c for c in cards if c.limb is not None and c.limb.thing == limb.thing)
        out.append(LimbCard(limb, mine, tuple(reversed(former))))
    return tuple(
        sorted(out, key=lambda c: (c.limb.bearing == "C", BEARING_DEG[c.limb.bearing], c.limb.band, c.limb.path))
    )


def past_versions(reader: Reader, noun: type[Any], thing: str) -> tuple[Version, ...]:
    """Former versions of a thing, newest first."""
    lines: list[Any] = reader.versions(noun, thing)
    corrected = {k.corrects for k in lines}
    return tuple(Version(k, k.made_utc, k.withdrawn) for k in reversed(lines) if k.id in corrected)


def take_back(ctx: Context, noun: type[Any], thing: str, *, entry_id: str = "") -> None:
    """Append that a thing never was. It is shown nowhere any more but stays in the book, and so do the looks, acts,
    links and finds that only make sense with it.

    Raises
    ------
    QuestionError
        If others lean on it.
    """
    from barkslip.fieldbook.rows import spec

    with ctx.book.write() as writer:
        old: Any = writer.line(noun, entry_id) if entry_id else writer.get(noun, thing)
        leaning = _leaning(writer, spec(noun).table, old.thing)
        if leaning:
            raise QuestionError(
                "Others lean on this, so it cannot be taken back.",
                code="leaning",
                answers=(("cancel", "leave it as it is"),),
                given=leaning,
                allowed="things that nothing else names",
                next_step="Correct it instead, or take those back first.",
            )
        writer.append(replace(old, **begin(ctx, {}, old), withdrawn=True))
        for part in _parts_of(writer, spec(noun).table, old.thing):
            writer.append(replace(part, **begin(ctx, {}, part), withdrawn=True))
        tree = getattr(old, "tree", None) or _tree_of(writer, getattr(old, "graft", None))
        if tree:
            refresh(writer, [tree], ctx.care)


def _parts_of(reader: Reader, table: str, thing: str) -> list[Any]:
    """What only makes sense together with a thing, and is taken back with it: looks with their graft ..."""
    parts: dict[str, tuple[tuple[type[Any], str], ...]] = {
        "graft": ((Look, "graft"), (Act, "graft"), (Sign, "graft")),
        "tree": ((ChainLink, "tree"), (Act, "tree"), (Sign, "tree")),
        "limb": ((ChainLink, "limb"), (Act, "limb")),
        "wood_lot": ((LotFind, "lot"),),
    }
    return [
        line for noun, column in parts.get(table, ()) for line in reader.every(noun, f"{column} = :thing", thing=thing)
    ]


def _tree_of(reader: Reader, graft: str | None) -> str | None:
    return reader.get(Graft, graft).tree if graft else None


def _leaning(reader: Reader, table: str, thing: str) -> str:
    columns = {
        "plot": [("tree", "plot")],
        "tree": [("limb", "tree"), ("graft", "tree"), ("wood_lot", "from_tree")],
        "limb": [("graft", "limb"), ("wood_lot", "from_limb")],
        "wood_lot": [("graft", "lot")],
        "graft": [("wood_lot", "from_graft")],
    }
    found = []
    for other, column in columns.get(table, ()):
        n = reader.rows(
            f"SELECT count(*) FROM {other} WHERE {column} = :thing AND current AND NOT withdrawn", thing=thing
        )[0][0]
        if n:
            found.append(f"{n} {other.replace('_', ' ')}{'s' if n > 1 else ''}")
    return ", ".join(found)
