"""A cover's model beside the grower's own logger: readings put right, clear days picked, the two laid side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.cover_days import Question, logger_days, trial_days
from barkslip.app.days_fields import known_cover
from barkslip.app.door import Door
from barkslip.app.heat_book import book_graft
from barkslip.app.heat_fields import MEMBERS, BookGraft, read_graft, read_members, read_wrap
from barkslip.app.lines import door
from barkslip.app.sun_place import placed
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.heat import CoverCheck, LearnedCover
from barkslip.domain.tree import BEARING_DEG, BEARINGS, Tree
from barkslip.domain.trial import Logger, Placement

if TYPE_CHECKING:
    from barkslip.fieldbook.reader import Reader

Fields = Mapping[str, str]
#: Hours of the day that are compared if nothing is typed [h].
FROM_H, TO_H = 13.0, 15.0
#: Most days that are looked at [d].
MOST_DAYS = 400


def check_cover(ctx: Context, fields: Fields) -> CoverCheck:
    """A cover's model beside a logger's own days, before and after learning from them.

    Parameters
    ----------
    fields : mapping
        logger (code); cover, from, to (days; where the book says where the logger sat, they may be left out); from_h,
        to_h (hours compared); closed, touching; graft, tree or plot, and what `heat_fields.read_graft` reads; trial
        (code: its single readings instead of the logger's series); as_read (yes: errors left in); members, seed, sure.

    Raises
    ------
    InputError
        If nothing says what was over it and when, or no reading is there.
    NotFoundError
        If there is no such logger, graft, tree or plot.
    """
    return _checked(ctx, fields)[0]


def learn(ctx: Context, fields: Fields) -> LearnedCover:
    """What `check_cover` learns, as `app.heat.ask_heat` takes it; without weights if nothing was learned."""
    return _checked(ctx, fields)[1]


def learned_covers(ctx: Context, *, members: int = MEMBERS, seed: int = 1) -> dict[str, LearnedCover]:
    """What all loggers of the book say of the covers they sat under; kept until readings or places change.

    Covers on which logger and model do not agree, or without a clear day, are left out.
    """
    with ctx.book.read() as reader:
        lines = [reader.lines_of(noun) for noun in ("record", "placement", "logger")]
        sat = [p for p in reader.every(Placement) if p.cover and not known_cover(p.cover)[1]]
        loggers = reader.many(Logger, [p.logger for p in sat])
    key = f"learned {members} {seed} {' '.join(str(n) for n in lines)}"
    if key not in ctx.kept:
        found: dict[str, LearnedCover] = {}
        for logger, cover in dict.fromkeys((loggers[p.logger].code, known_cover(p.cover)[0]) for p in sat):
            asked = {"logger": logger, "cover": cover, "members": str(members), "seed": str(seed)}
            try:
                _, new = _checked(ctx, asked)
            except InputError:
                # a logger without readings says nothing about its cover
                continue
            if new.weights and new.days > (found[cover].days if cover in found else 0):
                found[cover] = new
        ctx.kept[key] = found
    kept: dict[str, LearnedCover] = ctx.kept[key]
    return dict(kept)


def _checked(ctx: Context, fields: Fields) -> tuple[CoverCheck, LearnedCover]:
    from barkslip.engines import heat_learn

    at = door(ctx, fields)
    with ctx.book.read() as reader:
        asked = _question(ctx, reader, at, fields)
        garden = placed(at.garden)
        said: tuple[str, ...]
        if at.text(fields, "trial"):
            days, left_out, said = trial_days(ctx, reader, asked, garden, at.text(fields, "trial"))
        else:
            days, left_out, said = logger_days(ctx, reader, asked, garden)
    members, seed = read_members(at, fields)
    check, new = heat_learn.learn_cover(
        asked.graft,
        asked.wrap,
        [(day.hours, day.excess_k) for day in days],
        ctx.knowledge.value,
        from_h=asked.from_h,
        to_h=asked.to_h,
        members=members,
        seed=seed,
    )
    return replace(check, logger=asked.logger.code, corrections=said, left_out=check.left_out + left_out), new


# -- the question ------------------------------------------------------------------------------------------------


def _question(ctx: Context, reader: Reader, at: Door, fields: Fields) -> Question:
    from barkslip.engines.heat import usual_wraps

    logger = reader.by_code(Logger, at.required(fields, "logger", "logger"))
    typed = at.text(fields, "cover")
    usual = usual_wraps()
    wrap = read_wrap(at, fields, typed, usual, field="cover") if typed else None
    sat = [p for p in reader.every(Placement, "logger = :logger", order="since_first", logger=logger.thing) if p.cover]
    if wrap is not None:
        sat = [p for p in sat if known_cover(p.cover) == (wrap.cover, False)]
    spans = _spans(at, fields, logger, sat)
    if wrap is None:
        wrap = read_wrap(at, fields, _only_cover(logger, sat, spans), usual, field="cover")
    book, plot = book_graft(ctx, fields, spans[0][0])
    if book.graft is None and book.tree is None and sat:
        book, plot = _where(ctx, reader, sat[0], spans[0][0], plot)
    if plot is None and logger.plot is not None:
        plot = reader.get(Plot, logger.plot)
    graft = read_graft(at, fields, book, usual)
    if graft.bearing_deg is None and not at.text(fields, "bearing") and sat and sat[0].side in BEARINGS:
        graft = replace(graft, bearing_deg=BEARING_DEG[sat[0].side])
    hours = [
        at.number(fields, name, 0, 24, unit="h") if at.text(fields, name) else usual
        for name, usual in (("from_h", FROM_H), ("to_h", TO_H))
    ]
    from_h, to_h = (float(h) if h is not None else 0.0 for h in hours)
    if from_h > to_h:
        raise InputError(
            "The hours compared end before they begin.",
            given=f"{from_h:g} to {to_h:g} h",
            allowed="the first hour not after the last",
            next_step="Swap the two.",
            field="from_h",
        )
    return Question(logger, wrap, graft, plot, spans, from_h, to_h, at.yes(fields, "as_read"))


def _where(
    ctx: Context, reader: Reader, sat: Placement, day: date, plot: Plot | None
) -> tuple[BookGraft, Plot | None]:  # fmt: skip
    """Graft, tree and plot at which a logger sat."""
    from barkslip.domain.graft import Graft

    graft = reader.get(Graft, sat.graft) if sat.graft else None
    if graft is not None:
        return book_graft(ctx, {"graft": graft.code} | ({"plot": plot.code} if plot else {}), day)
    tree = reader.get(Tree, sat.tree) if sat.tree else None
    if plot is None and tree is not None:
        plot = reader.get(Plot, tree.plot)
    return BookGraft(tree=tree), plot


def _spans(at: Door, fields: Fields, logger: Logger, sat: Sequence[Placement]) -> tuple[tuple[date, date], ...]:
    """Whole days to look at: as typed, else those on which the logger sat there."""
    first, last = (at.when(fields, name) for name in ("from", "to"))
    if first is None and last is None:
        if sat:
            return tuple((p.since.first, p.until.last) for p in sat)
        raise InputError(
            f"Nothing says when logger {logger.code} sat under that cover.",
            given="(no days)",
            allowed="the first and the last whole day",
            next_step="Type both days, or write down where the logger sat.",
            field="from",
        )
    if first is None or last is None:
        missing = "from" if first is None else "to"
        raise InputError(
            f"The {'first' if first is None else 'last'} day is missing.",
            given="(nothing)",
            allowed="the first and the last whole day under the cover",
            next_step="Type it.",
            field=missing,
        )
    if not 0 <= (last.last - first.first).days < MOST_DAYS:
        raise InputError(
            "These days cannot be compared.",
            given=f"{first.first.isoformat()} to {last.last.isoformat()}",
            allowed=f"a first day not after the last, at most {MOST_DAYS} days",
            next_step="Correct them.",
            field="from",
        )
    return ((first.first, last.last),)


def _only_cover(logger: Logger, sat: Sequence[Placement], spans: Sequence[tuple[date, date]]) -> str:
    """The one cover under which the logger sat on those days."""
    there = [p for p in sat if any(p.since.first <= last and p.until.last >= first for first, last in spans)]
    names = tuple(dict.fromkeys(p.cover for p in there))
    if len(names) == 1:
        return names[0]
    raise InputError(
        f"Logger {logger.code} sat under more than one cover." if names else "What was over the logger?",
        given=", ".join(names) or "(no cover)",
        allowed="one cover, such as foil sleeve",
        next_step="Name the cover.",
        field="cover",
    )
