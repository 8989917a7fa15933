"""A graft in one sentence, without tables: what looks and acts answer."""

from __future__ import annotations

from barkslip.app.cards import graft_cards
from barkslip.app.context import Context
from barkslip.domain.cards import GraftCard
from barkslip.domain.graft import Graft
from barkslip.present.dates import day_near
from barkslip.present.graft import standing_words, taken_back_note


def graft_card(ctx: Context, thing: str) -> GraftCard:
    """The card of the graft with a thing id, as it stands now."""
    with ctx.book.read() as reader:
        graft = reader.get(Graft, thing)
        return graft_cards(reader, [graft], ctx.names, ctx.today(ctx.garden()))[0]


def verdict(card: GraftCard) -> str:
    """ "Verdict: took (since 2 Dec)."; a loss that was taken back is said."""
    stood = card.standing
    words = standing_words(stood) if stood.lost_after else stood.word
    since = f" (since {day_near(stood.turns[-1].on, stood.last_on)})" if stood.turns else ""
    return f"Verdict: {words.removesuffix(' · loss taken back')}{since}. {taken_back_note(stood)}".rstrip()
