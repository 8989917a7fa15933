"""Which logger is laid beside the model: the times it sat under a cover, and the form. It writes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.heat import GRAFT_COVERS, CoverCheck
from barkslip.domain.trial import Logger, Placement
from barkslip.present import dates
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import AS_BOOK, NO_YES, Group, GroupedForm, field, grouped, select, with_typed


@dataclass(frozen=True)
class Sat:
    """One time that a logger sat under a cover, with the address that compares it."""

    logger: str
    cover: str
    days: str
    touching: bool
    address: str


def sat_under_covers(ctx: Context) -> tuple[Sat, ...]:
    """Every time a logger of the book sat under a cover, oldest first."""
    with ctx.book.read() as reader:
        loggers = {one.thing: one.code for one in reader.every(Logger)}
        places = [p for p in reader.every(Placement, order="since_first") if p.cover]
    return tuple(
        Sat(
            loggers[p.logger],
            p.cover,
            dates.range_text(p.since.first, p.until.last),
            p.touching,
            f"/heat/check?{urlencode({'logger': loggers[p.logger], 'cover': p.cover})}",
        )
        for p in places
    )


def check_form(
    ctx: Context, typed: Mapping[str, str], error: BarkslipError | None = None, check: CoverCheck | None = None
) -> GroupedForm:
    """The form with what was typed."""
    fill = Fill(ctx, typed)
    with ctx.book.read() as reader:
        loggers = tuple((one.code, f"{one.code}: {one.place}") for one in reader.every(Logger, order="code"))
    covers = (("", "as the book says"), *GRAFT_COVERS.items())
    which = Group(
        "Which logger, under what, when",
        (
            (select(fill, "logger", "Logger", (("", "choose"), *loggers)),),
            (select(fill, "cover", "Cover over it", with_typed(fill, "cover", covers)),),
            (
                field(fill, "from", "First whole day", kind="date", group="d"),
                field(fill, "to", "Last whole day", kind="date", group="d"),
            ),
        ),
        open=True,
        help="Days left empty: all on which the book says that it sat there.",
    )
    hours = Group(
        "What is compared",
        (
            (
                field(fill, "from_h", "From hour", help=_taken(check, "from_h"), group="h"),
                field(fill, "to_h", "To hour", help=_taken(check, "to_h"), group="h"),
            ),
            (
                select(fill, "closed", "Foot closed", AS_BOOK, group="c"),
                select(fill, "as_read", "Errors left in", NO_YES, group="c"),
            ),
        ),
        help="Local hours of the day. Errors of bath and clock are taken out first.",
    )
    return grouped(
        (which, hours),
        typed,
        error,
        answered=check is not None,
        title="Your logger beside the model",
        action="/heat/check",
        submit="Compare",
        here="heat",
    )


def _taken(check: CoverCheck | None, name: str) -> str:
    return "" if check is None else f"Taken: {getattr(check, name):g}"
