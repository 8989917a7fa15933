"""What the book and the model answer of themselves about a lost graft."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.app.cards import graft_cards
from barkslip.app.context import Context
from barkslip.app.frost import night_door
from barkslip.app.past_grafts import SetGraft, hours_since, read_grafts
from barkslip.app.plot_offset import number
from barkslip.app.worth_tree import fit_of
from barkslip.domain.budwood import WoodLot
from barkslip.domain.cards import GraftCard
from barkslip.domain.graft import ALIVE, LOST, Graft, Look, ordered
from barkslip.domain.sign import Sign
from barkslip.domain.tree import ChainLink
from barkslip.domain.why import CIRCUMSTANCES, LOOKS, Answered, LastDays
from barkslip.fieldbook.reader import Reader

#: A scion seen dry no later than this dried "within three weeks"; one still green after this was green for six [d].
DRY_D, GREEN_D = 21, 42
#: Losses later than this are of other causes than those of young grafts [d].
LATE_D = 180
#: Days before the loss was seen that are looked at.
LAST_D = 14


@dataclass(frozen=True)
class BookGraft:
    """One graft with what the book answers; `seen` is a state that names its own cause, `late` a loss after take."""

    card: GraftCard
    answers: dict[str, Answered]
    last: LastDays | None
    seen: str = ""
    late: bool = False


def book_graft(ctx: Context, code: str, *, model: bool = True) -> BookGraft:
    """Answers of the book for one graft: signs written down, then its looks, its neighbours, wood, pair and heat.

    Parameters
    ----------
    model : bool
        False leaves the model of heat, drying and healing out.

    Raises
    ------
    NotFoundError
    """
    with ctx.book.read() as reader:
        graft = reader.by_code(Graft, code)
        day = ctx.today(ctx.garden())
        card = graft_cards(reader, [graft], ctx.names, day)[0]
        looks = ordered(reader.every(Look, "graft = :graft", graft=graft.thing))
        lot = reader.get(WoodLot, graft.lot) if graft.lot else None
        signs = sorted(
            reader.every(Sign, "graft = :graft", graft=graft.thing), key=lambda s: (s.on.first, s.made_utc, s.id)
        )
        one = read_grafts(ctx, reader, [graft])[0]
        late = _late(looks, graft)
        found = [
            *([] if late else _from_looks(looks, graft)),
            *_neighbours(reader, ctx, graft, day),
            *_wood(ctx, graft, lot, one.asked.plan.buds),
            *_pair(reader, ctx, card),
        ]
    last = _last_days(ctx, one, looks, model=model)
    if last is not None and last.scion_c is not None:
        found.append(_heat(ctx, one, last.scion_c))
    answers = {a.question: a for a in found}
    for sign in signs:
        known = LOOKS.get(sign.question) or CIRCUMSTANCES.get(sign.question)
        if known is not None and sign.answer in known:
            answers[sign.question] = Answered(sign.question, sign.answer, "signs", (sign.on.first.isoformat(),))
    lost = _first_lost(looks)
    seen = lost.state if lost is not None and lost.state in ("broken", "choked", "eaten") else ""
    return BookGraft(card, answers, last, seen, late)


def _late(looks: list[Look], graft: Graft) -> bool:
    """True if it was lost after the months that the tables are about."""
    lost = _first_lost(looks)
    return lost is not None and graft.set_on.days_to(lost.on.first)[0] > LATE_D


def _from_looks(looks: list[Look], graft: Graft) -> list[Answered]:
    """How the scion ended, where its looks tell."""
    first_lost = _first_lost(looks)
    if first_lost is None:
        return []
    days = graft.set_on.days_to(first_lost.on.first)[1]
    before = [k.state for k in looks if ordered([k, first_lost])[0] is k and k.state in ALIVE]
    when = (first_lost.state, str(days))
    out = []
    if "pushing" in before:
        out.append(Answered("scion", "wilted", "looks", when))
    elif first_lost.state == "shrivelled" and days <= DRY_D:
        out.append(Answered("scion", "brown", "looks", when))
    elif "green and still" in before and days >= GREEN_D:
        out.append(Answered("scion", "green", "looks", when))
    if first_lost.state in ("broken", "choked", "eaten"):
        return [Answered("scion", "other", "looks", when)]
    return out


def _first_lost(looks: list[Look]) -> Look | None:
    """The look at which the present loss was first seen."""
    found: Look | None = None
    for look in looks:
        if look.state in LOST:
            found = found or look
        elif look.state in ALIVE:
            found = None
    return found


def _neighbours(reader: Reader, ctx: Context, graft: Graft, day: date) -> list[Answered]:
    if not graft.campaign:
        return []
    others = [
        g
        for g in reader.every(Graft, "campaign = :c", c=graft.campaign)
        if g.thing != graft.thing and g.set_on.first == graft.set_on.first
    ]
    words = [c.standing for c in graft_cards(reader, others, ctx.names, day)]
    alive = sum(s.word == "took" and not s.lost_after for s in words)
    dead = sum(s.word == "did not take" or s.lost_after for s in words)
    if not alive + dead:
        return []
    answer = "alive" if alive >= dead else "dead"
    return [Answered("neighbours", answer, "book", (str(alive), str(dead)))]


def _wood(ctx: Context, graft: Graft, lot: WoodLot | None, buds: str) -> list[Answered]:
    if lot is None:
        return []
    least, most = lot.cut.days_to(graft.set_on.first)
    old = number(ctx.knowledge.value, "why.old_wood_days")
    if buds == "pushing":
        return [Answered("wood", "old", "book", ("pushing", str(least)))]
    if least > old:
        return [Answered("wood", "old", "book", ("age", str(least)))]
    return [Answered("wood", "fresh", "book", ("age", str(most)))] if most <= old else []


def _pair(reader: Reader, ctx: Context, card: GraftCard) -> list[Answered]:
    """Whether the same kind stands on the same tree, or is recorded as bad on its chain."""
    if card.variety in ("", "?") or card.name_doubt:
        return []
    root = reader.every(ChainLink, "tree = :tree", tree=card.tree.thing)
    grafts = reader.every(Graft, "tree = :tree", tree=card.tree.thing)
    cards = graft_cards(reader, grafts, ctx.names, ctx.today(ctx.garden()))
    alike = [
        c.graft.code
        for c in cards
        if c.graft.thing != card.graft.thing
        and c.variety == card.variety
        and not c.name_doubt
        and c.standing.word == "took"
        and not c.standing.lost_after
    ]
    if alike and root:
        return [Answered("pair", "established", "book", tuple(sorted(alike)[:3]))]
    fit = fit_of(ctx, card.tree, card.variety)
    if fit is not None and fit.own_verdict == "recorded_bad" and fit.own_decides is not None:
        return [Answered("pair", "reported", "book", (fit.own_decides.upper.name, fit.own_decides.lower.name))]
    return []


def _heat(ctx: Context, one: SetGraft, scion_c: float) -> Answered:
    from barkslip.engines.why_days import heat_answer

    hot = number(ctx.knowledge.value, "why.hot_c")
    answer = heat_answer(one.asked.plan.cover, scion_c, hot)
    return Answered("heat", answer, "model", (one.asked.plan.cover, f"{scion_c:.1f}"))


def _last_days(ctx: Context, one: SetGraft, looks: list[Look], *, model: bool) -> LastDays | None:
    """The air of the last days before the loss was seen, and the model's first weeks."""
    from barkslip.app.sun_air import stretch
    from barkslip.domain.errors import InputError
    from barkslip.engines import why_days

    lost = _first_lost(looks)
    if lost is None or one.day is None:
        return None
    seen = lost.on.first
    first = max(one.day, seen - timedelta(days=LAST_D))
    days = max(1, (seen - first).days)
    known = ctx.knowledge.value
    said = LastDays(one.day.isoformat(), seen.isoformat(), cover=one.asked.plan.cover)
    try:
        at = night_door(ctx, ctx.settings, {})
        hours, sources, _ = stretch(ctx, one.plot, first, days, {}, at=at, knowledge=ctx.knowledge)
    except InputError:
        return said
    air = why_days.air_of(hours)
    read = sum(s in ("measured", "typed") for s in sources) / days
    high, low, dry = air if air is not None else (None, None, None)
    since, _ = hours_since(ctx, one, round(number(known, "timing.look_days"))) if model else (None, ())
    weeks = why_days.first_weeks(one.asked.plan, since, known) if since is not None else None
    link = (
        why_days.link_chance(one.asked.plan, one.curve, since, known, one.asked.method) if since is not None else None
    )
    return LastDays(
        set_on=said.set_on,
        seen_on=said.seen_on,
        days=min(days, len(hours) // 24),
        high_c=high,
        low_c=low,
        dry_kpa=dry,
        scion_c=weeks.scion_c if weeks else None,
        dose=weeks.dose if weeks else None,
        lost_pct=weeks.lost_pct if weeks else None,
        link=link,
        cover=said.cover,
        measured_share=read,
    )
