"""Why grafts were lost: answers of the book under what is typed, causes for and against, and the next look."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.app.lines import already, begin, door
from barkslip.app.plot_offset import number
from barkslip.app.why_book import BookGraft, book_graft
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.sign import Cause, Sign
from barkslip.domain.sourced import Value
from barkslip.domain.why import CAUSES, Answered, CauseTable, LostGraft, WhyAnswer, read_answers
from barkslip.engines import why as engine
from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Grafts asked about together at most.
MOST = 12


def ask_why(ctx: Context, fields: Fields, *, model: bool = True) -> WhyAnswer:
    """Causes of one lost graft, or of several that may share one.

    Parameters
    ----------
    fields : mapping
        grafts (codes, with commas or spaces); looks (question=answer, with commas), counted for the first graft.
    model : bool
        False leaves the model of heat, drying and healing out.

    Raises
    ------
    InputError, NotFoundError
    """
    codes = list(dict.fromkeys(fields.get("grafts", "").replace(",", " ").split()))
    if not codes or len(codes) > MOST:
        raise InputError(
            "Which graft was lost?" if not codes else "So many at once are not asked about.",
            given=", ".join(codes) or "(nothing)",
            allowed=f"1 to {MOST} codes of grafts",
            next_step="Name the graft; name several if they were lost together.",
            field="grafts",
        )
    typed = read_answers(tuple(t for t in (p.strip() for p in fields.get("looks", "").split(",")) if t))
    table, values, found = cause_table(ctx)
    rho, line = (number(ctx.knowledge.value, f"why.{k}") for k in ("shared", "named"))
    books = [book_graft(ctx, code, model=model) for code in codes]
    grafts, answers = [], []
    for k, one in enumerate(books):
        mine = dict(one.answers)
        if k == 0:
            mine |= {q: Answered(q, a, "typed") for q, a in typed.items()}
        answers.append({q: a.answer for q, a in mine.items()})
        grafts.append(_lost(one, mine, table))
    first = grafts[0]
    _, many = engine.beliefs(table, answers[0])
    leads = first.beliefs[0]
    doubt = engine.cannot_tell(many, CAUSES.index(leads.cause), line)
    kept, signs = engine.split(answers[0])
    same, shared = _shared(table, _without_each_other(books, answers), rho) if len(grafts) > 1 else (None, ())
    return WhyAnswer(
        grafts=tuple(grafts),
        cause=leads.cause if leads.p >= line and doubt <= 1.0 - line and not (first.seen or first.late) else "",
        cannot_tell=doubt,
        next_looks=engine.next_looks(table, tuple(kept.values()), dict(signs.values())),
        same=same,
        shared=shared,
        found=found,
        line=line,
        values=values,
    )


def _lost(one: BookGraft, answers: Mapping[str, Answered], table: CauseTable) -> LostGraft:
    standing = one.card.standing
    beliefs, _ = engine.beliefs(table, {q: a.answer for q, a in answers.items()})
    return LostGraft(
        code=one.card.graft.code,
        name=one.card.name_doubt or one.card.variety,
        tree=one.card.tree.code,
        standing=standing.word,
        lost=standing.word == "did not take" or standing.lost_after,
        answers=tuple(answers.values()),
        beliefs=beliefs,
        last=one.last,
        seen=one.seen,
        late=one.late,
    )


def _without_each_other(books: list[BookGraft], answers: list[dict[str, str]]) -> list[dict[str, str]]:
    """Answers without what is seen of neighbours that are asked about themselves: it would count twice."""
    together = Counter(one.card.graft.campaign for one in books if one.card.graft.campaign)
    return [
        {q: a for q, a in mine.items() if q != "neighbours" or together[one.card.graft.campaign] < 2}
        for one, mine in zip(books, answers, strict=True)
    ]


def _shared(
    table: CauseTable, answers: list[dict[str, str]], rho: float
) -> tuple[float | None, tuple[tuple[str, float], ...]]:
    priors, likes = [], []
    for one in answers:
        kept, signs = engine.split(one)
        priors.append(engine.before(table, tuple(kept.values())))
        likes.append(engine.likelihood(table, dict(signs.values())))
    same, by_cause, _ = engine.together(priors, likes, rho)
    return same, tuple(sorted(((c, float(p)) for c, p in zip(CAUSES, by_cause, strict=True)), key=lambda x: -x[1]))


def cause_table(ctx: Context) -> tuple[CauseTable, dict[str, Value], dict[str, int]]:
    """The declared tables with what this garden has found out, the numbers used, and causes found out by count."""
    return _table(ctx.knowledge, _found(ctx))


def _found(ctx: Context) -> dict[str, int]:
    """Causes that were found out, the newest word on each graft."""
    with ctx.book.read() as reader:
        newest = {c.graft: c.cause for c in sorted(reader.every(Cause), key=lambda c: (c.on.first, c.made_utc, c.id))}
    counted = Counter(c for c in newest.values() if c in CAUSES)
    return {c: counted[c] for c in CAUSES if counted[c]}


def _table(knowledge: Knowledge, found: dict[str, int]) -> tuple[CauseTable, dict[str, Value], dict[str, int]]:
    rows = knowledge.table("why")
    by_kind = {
        kind: {r.key: tuple(float(r.cell(c)) for c in CAUSES) for r in rows if r.cell("kind") == kind}
        for kind in ("prior", "context", "sign")
    }
    values = {f"why.{k}": knowledge.value(f"why.{k}") for k in ("prior_weight", "sign_weight", "shared", "named")}
    table = CauseTable(
        prior=by_kind["prior"]["prior"],
        odds=by_kind["context"],
        signs=by_kind["sign"],
        found=tuple(found.get(c, 0) for c in CAUSES),
        prior_weight=number(knowledge.value, "why.prior_weight"),
        sign_weight=number(knowledge.value, "why.sign_weight"),
    )
    return table, values, found


def log_looks(ctx: Context, fields: Fields) -> list[Sign]:
    """Write down looks at a lost graft.

    Parameters
    ----------
    fields : mapping
        graft (code), looks ("union=brown, line=no"), on, note.

    Raises
    ------
    InputError, NotFoundError
    """
    at = door(ctx, fields)
    looks = read_answers(tuple(p.strip() for p in at.required(fields, "looks", "look").split(",") if p.strip()))
    day = at.day(fields, "on", "today")
    out = []
    with ctx.book.write() as writer:
        graft = writer.by_code(Graft, at.required(fields, "graft", "graft"))
        for question, answer in looks.items():
            line = begin(ctx, {k: v for k, v in fields.items() if k != "id"})
            sign = Sign(
                **line, question=question, answer=answer, on=day, graft=graft.thing, note=at.text(fields, "note")
            )
            writer.append(sign)
            out.append(sign)
    return out


def log_cause(ctx: Context, fields: Fields) -> Cause:
    """Write down what a loss turned out to come from; it teaches the shares of causes.

    Parameters
    ----------
    fields : mapping
        graft (code), cause (one of `CAUSES`), how (by what it was known), on, id.

    Raises
    ------
    InputError, NotFoundError
    """
    at = door(ctx, fields)
    cause = at.choice(fields, "cause", CAUSES)
    how = at.required(fields, "how", "way it was found out")
    day = at.day(fields, "on", "today")
    with ctx.book.write() as writer:
        sent = already(writer, Cause, fields)
        if sent:
            return sent
        graft = writer.by_code(Graft, at.required(fields, "graft", "graft"))
        found = Cause(**begin(ctx, fields), graft=graft.thing, cause=cause, how=how, on=day)
        writer.append(found)
    return found
