"""The healing clock of a graft in words and as a small drawing; what the garden's own takes say about the clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from markupsafe import Markup, escape

from barkslip.domain.heat import GRAFT_COVERS
from barkslip.domain.night import Spread
from barkslip.domain.timing import BackCast, ClockLearned, DateSpread, DaysVerdict, GraftClock
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates, days_words
from barkslip.present import units as u
from barkslip.present.chart import WIDE
from barkslip.present.days import LATE, NEVER, date_text
from barkslip.present.labels import Sheet, text_width
from barkslip.present.night import chance_words

SIZE = 13.0
#: Below this many grafts own takes say next to nothing.
FEW = 5
Rows = tuple[tuple[str, DateSpread], ...]


# -- the clock of one graft -------------------------------------------------------------------------------------------


def is_known(clock: GraftClock) -> bool:
    """Whether the clock can say anything."""
    return clock.so_far is not None


def clock_headline(clock: GraftClock) -> str:
    """Where the union stands by the heat it has had; a state is never made of it."""
    if not is_known(clock):
        return f"Not known: {_why_not(clock)}."
    link, now = clock.link, clock.as_of
    if link is None or link.p10 is None or now < link.p10:
        if link is None or link.p50 is None:
            return f"By its clock the union does not link {NEVER.removeprefix('not ')}."
        return f"By its clock the union is to link about {dates.day_near(link.p50, date.fromisoformat(now))}."
    if link.p90 is not None and now > link.p90:
        return f"By its clock the union had linked by {dates.day_near(link.p90, date.fromisoformat(now))}, if it lived."
    return f"By its clock there is a {chance_words(clock.chance_link or 0.0)} chance that the union has linked by now."


def _why_not(clock: GraftClock) -> str:
    if "set_day" in clock.words:
        return "the day it was set on is not known closely enough"
    if not clock.species:
        return "nothing is written down of how its kind heals"
    return "there is no weather for its days"


def so_far_text(clock: GraftClock) -> str:
    """Thermal days so far; "" if not known."""
    if clock.so_far is None:
        return ""
    s = clock.so_far
    return (
        f"Thermal days so far: {u.number(s.p50, 1)} ({u.number(s.p10, 1)} to {u.number(s.p90, 1)}), each worth a day "
        "at the temperature it heals best at."
    )


def clock_rows(clock: GraftClock) -> Rows:
    """The events of a clock that are known."""
    named = (
        ("callus bridge", clock.bridge), ("first water path", clock.link), ("first push", clock.push),
        ("binding may come off", clock.release),
    )  # fmt: skip
    return tuple((name, spread) for name, spread in named if spread is not None)


def verdict_rows(verdict: DaysVerdict) -> Rows:
    """The events of a graft set on the day put forward."""
    if not verdict.set_on:
        return ()
    push = (("first push", verdict.push_date),) if verdict.plan.path == "growing" else ()
    return (("first water path", verdict.link_date), *push, ("binding may come off", verdict.release_date))


def row_texts(rows: Rows, near: str) -> tuple[tuple[str, str], ...]:
    """The same in words: (what, when)."""
    return tuple((name, date_text(spread, near)) for name, spread in rows)


def latest_text(clock: GraftClock) -> str:
    """By when the binding must be off; "" if its kind is not known."""
    if not clock.latest_release:
        return ""
    day = dates.day_near(clock.latest_release, date.fromisoformat(clock.as_of))
    return f"The binding is off by {day} at the latest, whatever the clock says: its kind bears no longer."


def heard_text(clock: GraftClock) -> str:
    """How much of its time was read, and where the days to come are from."""
    if not is_known(clock):
        return ""
    share = clock.measured_share
    read = "All of its hours so far were read" if share >= 1 else f"{u.percent(share)} of its hours so far were read"
    ahead = f"; days to come: {clock.ahead}" if clock.ahead else ""
    return f"{read}{ahead}."


#: Stands under every clock: a day count is no verdict.
NO_VERDICT = "A clock counts heat. Whether the graft lives is seen by looking, never counted."


# -- the drawing ------------------------------------------------------------------------------------------------------


def clock_chart(clock: GraftClock, width: float = WIDE) -> Markup:
    """The clock of a graft: each event as a dot with its range, today, and the day by which the binding must be off."""
    return dates_chart(clock_rows(clock), clock.set_on, width, today=clock.as_of, latest=clock.latest_release)


def verdict_chart(verdict: DaysVerdict, width: float = WIDE) -> Markup:
    """The days to expect of a graft that is thought of."""
    return dates_chart(verdict_rows(verdict), verdict.set_on, width)


def dates_chart(rows: Rows, set_on: str, width: float = WIDE, *, today: str = "", latest: str = "") -> Markup:
    """Events along time, each in a row of its own; empty if no event is reached."""
    reached = [s for _, s in rows if s.p10 is not None]
    if not reached or not set_on:
        return Markup("")
    begin = date.fromisoformat(set_on)
    ends = [date.fromisoformat(d) for s in reached for d in (s.p10, s.p50, s.p90) if d]
    if latest:
        ends.append(date.fromisoformat(latest))
    span = max((max(ends) - begin).days + 3, 14)
    sheet = Sheet(width, 8.0 + 42.0 * len(rows) + 44.0)
    left, right, base = 4.0, width - 8.0, sheet.height - 40.0

    def at(day: str) -> float:
        return left + min((date.fromisoformat(day) - begin).days / span, 1.0) * (right - left)

    _time_axis(sheet, begin, span, (left, right), base)
    if latest:
        _upright(sheet, at(latest), base, "d-latest")
    if today and begin < date.fromisoformat(today) <= begin + timedelta(days=span):
        _upright(sheet, at(today), base, "d-today")
    for i, (name, spread) in enumerate(rows):
        y = 16.0 + 42.0 * i
        box = sheet.write(name, left, y, 14.0)
        words = dates.day_near(spread.p50, begin) if spread.p50 else LATE
        sheet.write(words, box.x1 + 5.0, y, 14.0, klass="t-strong" if spread.p50 else "t-quiet")
        _event(sheet, spread, at, right, y + 13.0)
    _feet(sheet, at, base, begin, today, latest)
    return Markup(
        f'<svg class="chart clock" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>The healing clock from {escape(dates.day_text(begin))}</title><desc>Dot: the middle; bar: '
        f"eight in ten; an arrow where later ones lie beyond the time looked at.</desc>{''.join(sheet.parts)}</svg>"
    )


def _upright(sheet: Sheet, x: float, base: float, klass: str) -> None:
    sheet.add(f'<line class="{klass}" x1="{x:.1f}" y1="2" x2="{x:.1f}" y2="{base:.1f}"/>')


def _event(sheet: Sheet, spread: DateSpread, at: Callable[[str], float], right: float, y: float) -> None:
    if spread.p10 is None:
        return
    x0 = at(spread.p10)
    x1 = at(spread.p90) if spread.p90 else right
    sheet.add(f'<path class="d-bar" d="M{x0:.1f} {y:.1f}H{max(x1, x0 + 1):.1f}"/>')
    if not spread.p90:
        sheet.add(f'<path class="d-arrow" d="M{x1 - 6:.1f} {y - 5:.1f}l6 5-6 5"/>')
    if spread.p50:
        sheet.add(f'<circle class="d-dot" cx="{at(spread.p50):.1f}" cy="{y:.1f}" r="5.5"/>')


def _time_axis(sheet: Sheet, begin: date, span: int, ends: tuple[float, float], base: float) -> None:
    """The line of time with the months that begin in it."""
    left, right = ends
    sheet.add(f'<line class="axis" x1="{left}" y1="{base:.1f}" x2="{right:.1f}" y2="{base:.1f}"/>')
    day = (begin.replace(day=1) + timedelta(days=32)).replace(day=1)
    edge = -9.0
    while (day - begin).days <= span:
        x = left + (day - begin).days / span * (right - left)
        sheet.add(f'<line class="grid" x1="{x:.1f}" y1="4" x2="{x:.1f}" y2="{base:.1f}"/>')
        words = dates.MONTHS[day.month - 1] if day.month > 1 else str(day.year)
        if x > edge + 6.0 and x + text_width(words, SIZE) < sheet.width - 1.0:
            edge = sheet.write(words, x, base + 15.0, SIZE, klass="t-quiet").x1
        day = (day + timedelta(days=32)).replace(day=1)


def _feet(sheet: Sheet, at: Callable[[str], float], base: float, begin: date, today: str, latest: str) -> None:
    """Names of the uprights, under the months."""
    y = base + 33.0
    sheet.write(f"set {dates.day_short(begin)}", 4.0, y, SIZE)
    for day, words, klass in (
        (latest, "binding off by then", "t-heat"), (today, "today", "t-strong"),
    ):  # fmt: skip
        if not day or not begin < date.fromisoformat(day):
            continue
        x, half = at(day), text_width(words, SIZE, bold=True) / 2
        if day == today and x >= sheet.width - 9.0:
            continue
        middle = min(max(x, half + 2.0), sheet.width - half - 2.0)
        ends = ((middle, y, "middle"), (middle - half - 4.0, y, "end"), (middle + half + 4.0, y, "start"))
        if not sheet.write_free(words, ends, SIZE, klass):
            sheet.left_out.append(words)


# -- what own takes say -----------------------------------------------------------------------------------------------

#: Parameter of the clock -> (what it is, unit).
PARAMETERS = {
    "t_min_c": ("no healing below", "°C"),
    "d_xylem_d": ("days at the best temperature to the first water path", "d"),
}


@dataclass(frozen=True, slots=True)
class LearnedRow:
    """One parameter before and after."""

    words: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PastRow:
    """One past graft beside what the clock would have said."""

    code: str
    set_on: str
    method: str
    cover: str
    outcome: str
    healing_21: str
    healing_45: str
    chance: str


def learned_headline(found: ClockLearned) -> str:
    """What own takes do to the clock, with how many they are."""
    n = counts.many(found.grafts, "graft")
    if not found.grafts:
        return f"Nothing yet: no graft of {found.species} has both a verdict and weather."
    if found.grafts < FEW:
        return f"Too few to say: {n} of {found.species} with a verdict and weather, {found.took} took."
    before, after = found.before.get("d_xylem_d"), found.after.get("d_xylem_d")
    if before is None or after is None:
        return f"{counts.opening(n)} of {found.species}, {found.took} took."
    change = after.p50 - before.p50
    said = f"{n} of {found.species}, {found.took} took"
    if abs(change) < 0.25 * (before.p90 - before.p10) / 2.56:
        return f"Your own takes hardly move the clock: {said}."
    way = "quicker" if change < 0 else "slower"
    return f"Your own takes make the clock about {dates.days_text(abs(change))} {way}: {said}."


def learned_rows(found: ClockLearned, units: UnitChoice = METRIC) -> tuple[LearnedRow, ...]:
    """The parameters, as published and with the own takes."""
    return tuple(
        LearnedRow(words, _spread(found.before[name], unit, units), _spread(found.after[name], unit, units))
        for name, (words, unit) in PARAMETERS.items()
        if name in found.before and name in found.after
    )


def _spread(spread: Spread, unit: str, units: UnitChoice) -> str:
    if unit == "°C":
        low, high = (u.bare_temperature(v, units) for v in (spread.p10, spread.p90))
        return f"{u.temperature(spread.p50, units)} ({low} to {high})"
    return f"{u.number(spread.p50, 1)} days ({u.number(spread.p10, 1)} to {u.number(spread.p90, 1)})"


def weight_text(found: ClockLearned) -> str:
    """How much of the ensemble still speaks."""
    if not found.grafts:
        return ""
    return (
        f"{u.percent(found.weight_left)} of the clock's members still speak. A graft fails for many reasons that are "
        "no matter of weather, so one failure says little; grafts set together on one day say little more than one."
    )


def past_rows(found: ClockLearned) -> tuple[PastRow, ...]:
    """Past grafts, newest first."""
    return tuple(_past(one) for one in found.rows)


def _past(one: BackCast) -> PastRow:
    return PastRow(
        code=one.code,
        set_on=dates.day_text(one.set_on),
        method=days_words.method_words(one.method),
        cover=GRAFT_COVERS.get(one.cover, one.cover),
        outcome=one.outcome,
        healing_21=_days(one.healing_21),
        healing_45=_days(one.healing_45),
        chance=u.percent(one.chance) if one.chance is not None else "not known",
    )


def _days(spread: Spread | None) -> str:
    if spread is None:
        return "–"
    return f"{u.number(spread.p50, 1)} ({u.number(spread.p10, 1)} to {u.number(spread.p90, 1)})"
