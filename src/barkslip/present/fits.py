"""What fits, in words: the verdict first, the pair that decides, what to look for, ways out."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from barkslip.domain.fits import FitRow, FitTable, FitVerdict, JoinFit, Kind, Level, PairFit, Remedy, Report
from barkslip.present import counts
from barkslip.present import units as u

#: Verdict -> (sign, word). Shapes and words carry it, colour only helps.
SIGNS = {"recorded_good": "✓", "no_record": "?", "mixed": "!", "recorded_bad": "×"}
WORDS = {
    "recorded_good": "recorded good",
    "no_record": "no record",
    "mixed": "reports disagree",
    "recorded_bad": "recorded bad",
}
#: The same for one report.
REPORT_WORDS = {"recorded_good": "good", "recorded_bad": "bad", "recorded_doubt": "doubtful"}
_SHAPES = {
    "recorded_good": '<circle class="fit-disc" cx="12" cy="12" r="10.5"/><path class="fit-cut" d="M7.2 12.4 L10.7 15.8 '
    'L17 8.8" fill="none" stroke-linecap="round" stroke-linejoin="round" stroke-width="2.6"/>',
    "no_record": '<circle class="fit-ring" cx="12" cy="12" r="9.5" fill="none" stroke-width="2.2" '
    'stroke-dasharray="3.6 2.37"/>',
    "mixed": '<path class="fit-ring" d="M12 2.6 L21.4 12 L12 21.4 L2.6 12 Z" fill="none" stroke-width="2.2" '
    'stroke-linejoin="round"/><path class="fit-bar" d="M12 7.4 V13 M12 16.2 V16.4" fill="none" stroke-width="2.6" '
    'stroke-linecap="round"/>',
    "recorded_bad": '<rect class="fit-ring" x="2.8" y="2.8" width="18.4" height="18.4" rx="2" fill="none" '
    'stroke-width="2.2"/><path class="fit-bar" d="M8 8 L16 16 M16 8 L8 16" fill="none" stroke-width="2.6" '
    'stroke-linecap="round"/>',
}
#: The sign of each strength, said in words.
STRENGTH_WORDS = {"weak": "weakly supported", "medium": "", "strong": "well supported"}


def mark(verdict: str, size: int = 28) -> Markup:
    """The mark of a verdict as a small picture, with its word as the title."""
    return Markup(
        f'<svg class="fit fit-{verdict}" xmlns="http://www.w3.org/2000/svg" width="{size}" height="{size}" '
        f'viewBox="0 0 24 24" role="img"><title>{WORDS[verdict]}</title>{_SHAPES[verdict]}</svg>'
    )


def verdict_words(verdict: str, pair: PairFit | None = None) -> str:
    """ "recorded bad", "doubtful", "depends on disease": what is recorded in two or three words."""
    if pair is None or pair.verdict != verdict:
        return WORDS[verdict]
    if verdict == "mixed" and pair.doubt_only and not any(r.verdict == "recorded_good" for r in pair.reports):
        return "doubtful"
    if pair.disease_only and verdict in ("mixed", "recorded_bad"):
        return "depends on disease"
    return WORDS[verdict]


def pair_name(pair: PairFit) -> str:
    """ "'Eureka' lemon on 'Carrizo' citrange"."""
    return f"{kind_name(pair.upper)} {'over' if pair.through else 'on'} {kind_name(pair.lower)}"


def kind_name(kind: Kind) -> str:
    """A kind's name; "?" is said in words."""
    return "what is not known" if kind.name in ("", "?") else kind.name


def headline(v: FitVerdict) -> str:
    """The answer in one line."""
    top = counts.opening(_top_words(v))
    if v.verdict == "recorded_bad":
        if v.decides is not None and _stands_already(v):
            return f"{top}: a join in this chain is recorded as a bad fit."
        return f"{top}: recorded as a bad fit{_share_words(v)}."
    if v.verdict == "mixed":
        words = verdict_words("mixed", v.decides)
        said = {"doubtful": "doubts are on record", "depends on disease": "good or bad by what the wood carries"}
        return f"{top}: {said.get(words, 'reports disagree')}."
    if v.verdict == "recorded_good":
        return f"{top}: recorded good, all the way down."
    return f"{top}: no record. Nobody has written down that it fits."


def _top_words(v: FitVerdict) -> str:
    where = f" on {v.tree_name}" if v.tree_name else ""
    return f"{v.scion.name}{where}"


def _stands_already(v: FitVerdict) -> bool:
    return v.decides is not None and v.decides.upper.key != v.scion.key and v.own_verdict != v.verdict


def _share_words(v: FitVerdict) -> str:
    return "" if v.share >= 0.995 else f" if it stands on {kind_name(v.decides.lower)}" if v.decides else ""


def decides_text(v: FitVerdict) -> str:
    """The pair that decides, its share, and after how long it shows."""
    if v.decides is None:
        return ""
    share = "" if v.share >= 0.995 else f" This is so in {u.percent(v.share)} of what is believed about the chain."
    if v.verdict == "recorded_good":
        return f"Each join has a good report.{share} A good record is what was written elsewhere, no promise."
    if v.verdict == "no_record":
        return (
            f"Nothing is recorded of {pair_name(v.decides)}.{share} That is no yes: try one graft before many, and "
            "look at its union for years."
        )
    worst = (
        "The worst that is likely decides: " if not all(level.sure for level in v.levels) else "The pair that decides: "
    )
    return f"{worst}{pair_name(v.decides)}.{share} {shows_text(v.decides)}".rstrip()


def shows_text(pair: PairFit) -> str:
    """ "Trouble showed after 5 to 12 years: dead tissue in the stock."; empty without anything against it."""
    if not pair.against:
        return ""
    years, sign = years_text(pair), signs_text(pair)
    when = f"Trouble showed after {years}" if years else "When it shows was not written"
    condition = counts.listed(dict.fromkeys(r.condition for r in pair.against if r.condition))
    only = f" Said of: {condition}." if condition else ""
    return f"{when}{f': {sign}' if sign else ''}.{only}"


def signs_text(pair: PairFit) -> str:
    """What to look for; a sign that another one holds is left out."""
    return "; ".join(s for s in pair.signs if not any(s != other and s in other for other in pair.signs))


def years_text(pair: PairFit) -> str:
    """ "5 to 12 years", "3 years or more", "up to 11 years"; "" if no report gives any."""
    low, high = pair.years_to_sign
    if low is None and high is None:
        return ""
    if low is not None and high is not None:
        return f"{low:g}{u.NBSP}years" if low == high else f"{low:g} to {high:g}{u.NBSP}years"
    return f"{low:g}{u.NBSP}years or more" if low is not None else f"up to {high:g}{u.NBSP}years"


def new_part_text(v: FitVerdict) -> str:
    """What the new top's own joins are, where an old join decides; "" if it does not."""
    if not _stands_already(v):
        return ""
    stood = next((n.partition(":")[2] for n in v.notes if n.startswith("stood:")), "")
    long = f" It has stood for about {stood} years or more." if stood.isdigit() and int(stood) > 1 else ""
    return (
        f"That join stands already, whatever is set on top.{long} The new joins by themselves: "
        f"{verdict_words(v.own_verdict, v.own_decides)}."
    )


def chain_text(scion: str, levels: tuple[Level, ...]) -> str:
    """ "'Eureka' lemon / mandarin? / trifoliate orange?": the likeliest answer of each level."""
    parts = [scion] if scion else []
    for level in levels:
        best = max(level.choices, key=lambda c: c.share)
        if best.guessed or best.kinds[0].name == "?":
            parts.append("?")
            continue
        name = best.kinds[0].name if len(best.kinds) == 1 else best.words
        parts.append(f"{name}{'' if level.sure or best.share >= 0.95 else '?'}")
    return " / ".join(parts)


@dataclass(frozen=True)
class PairRow:
    """One pair of answers as a row."""

    name: str
    verdict: str
    words: str
    share: str
    years: str
    signs: str
    sources: tuple[str, ...]
    pair: PairFit


def join_title(join: JoinFit) -> str:
    """ "scion on framework", "scion against rootstock (what travels through)"."""
    upper = "new top" if join.upper == "scion" else join.upper
    if join.through:
        return f"{counts.opening(upper)} against {join.lower}: what travels through the pieces between"
    return f"{counts.opening(upper)} on {join.lower}"


def pair_rows(join: JoinFit, most: int = 12) -> tuple[PairRow, ...]:
    """Pairs of a join, worst first; pairs of which nothing is recorded are one row together."""
    rows = [_row(pair, share) for pair, share in join.pairs if pair.reports][:most]
    silent = [(pair, share) for pair, share in join.pairs if not pair.reports]
    if len(silent) == 1:
        rows.append(_row(*silent[0]))
    elif silent and not join.through:
        share = sum(s for _, s in silent)
        upper = kind_name(silent[0][0].upper)
        words = f"{upper} on {counts.many(len(silent), 'other answer')} to what it is"
        rows.append(PairRow(words, "no_record", WORDS["no_record"], u.percent(share), "", "", (), silent[0][0]))
    return tuple(rows)


def _row(pair: PairFit, share: float) -> PairRow:
    return PairRow(
        pair_name(pair),
        pair.verdict,
        verdict_words(pair.verdict, pair),
        "" if share >= 0.995 else u.percent(share),
        years_text(pair),
        signs_text(pair),
        pair.sources,
        pair,
    )


def shown_joins(v: FitVerdict) -> tuple[JoinFit, ...]:
    """Joins with something to show: all that touch, and those apart of which something is recorded."""
    return tuple(j for j in v.joins if not j.through or any(p.reports for p, _ in j.pairs))


def report_text(report: Report) -> str:
    """One report: "bad: Eureka lemon on Carrizo citrange, well supported"."""
    parts = [f"{REPORT_WORDS[report.verdict]}: {report.name}"]
    if STRENGTH_WORDS[report.strength]:
        parts.append(STRENGTH_WORDS[report.strength])
    value = report.years
    if value.value is not None or value.low is not None or value.high is not None:
        parts.append(("watched " if report.verdict == "recorded_good" else "after ") + u.value_text(value))
    if report.condition:
        parts.append(report.condition)
    if report.sign:
        parts.append(report.sign)
    return ", ".join(parts)


CAUSE_WORDS = {
    "localized": "it lies where the two touch",
    "delayed": "it shows late",
    "virus": "a virus that goes through the whole tree",
    "viroid": "a viroid that goes through the whole tree",
    "graft-transmissible agent": "something that grafting passes on",
}


def cause_text(report: Report) -> str:
    """Why, where it is known: "it lies where the two touch"."""
    return CAUSE_WORDS.get(report.cause, "")


def report_known(report: Report) -> str:
    """How a report is known: its status, and its note."""
    return "; ".join(part for part in (report.years.status, report.years.note) if part)


def remedy_text(remedy: Remedy) -> str:
    """One way out."""
    if remedy.code == "said":
        return f"What the report says: {remedy.words}."
    if remedy.code == "no_piece":
        return f"A piece between is no cure here: {remedy.words}."
    if remedy.code == "piece_not_known":
        return "Whether a piece of another kind between helps is not known: the cause was not written down."
    if remedy.code == "old_join":
        return (
            "No new top mends a join that stands already. Look at that union each year; if the sign shows, plan to "
            "replace the tree."
        )
    assert remedy.kind is not None
    named = " (named by the report)" if remedy.named else ""
    if remedy.code == "stock":
        return f"Another stock: {remedy.kind.name}, {WORDS[remedy.verdict]}{named}."
    return (
        f"A piece of {remedy.kind.name} between{named}. The top on it: {WORDS[remedy.verdict]}; "
        f"it on the stock: {WORDS[remedy.below]}."
    )


def look_alike_text(report: Report) -> str:
    """ "exocortis, where exocortis is in the wood: bark that scales off below the union"."""
    sign = f": {report.sign}" if report.sign else ""
    return f"{counts.opening(report.pathogen_name)}, {report.condition}{sign}."


LOOK_ALIKE_LEAD = (
    "These are passed on by grafting and can look like a misfit at the union. A look never tells one from the other: "
    "a test does; ask the plant-health authority of your place."
)
_NOTES = {
    "root_not_known": "What it stands on is not known: the belief is spread over all stocks. Looks at the tree narrow "
    "it down.",
    "root_partly_known": "What it stands on is not known for sure; the rest of the belief is spread over all stocks.",
    "other_fruit": "This tree is no citrus. Kinds of different families do not join; all reports here are on citrus.",
    "limb_not_proved": "That limb is not proved: do not cut it before fruit or a look has shown what it is.",
    "old_wood": "What sleeps in the old wood goes into the new top and back: top-working spreads disease that shows "
    "nowhere yet.",
    "onto_interstock": "Asked for: set on the piece between, the old top cut away.",
    "onto_rootstock": "Asked for: set on the rootstock itself, everything above it cut away.",
    "whole_group": "A whole group was named: the worst of its varieties counts.",
}  # fmt: skip


def notes(codes: tuple[str, ...]) -> tuple[str, ...]:
    """What else must be said, in sentences."""
    out = []
    for code in codes:
        kind, _, rest = code.partition(":")
        if kind == "name":
            out.append(f"Of {rest} nothing is known under that name, so no report can hold for it.")
        elif kind == "roughly":
            words, _, taken = rest.rpartition(":")
            out.append(f"{counts.opening(words)} is not known by itself: what holds for {taken} as a whole is taken.")
        elif kind == "not_known":
            out.append(f"Part of the belief about its {rest} is open: nothing can be said of that part.")
        elif code in _NOTES:
            out.append(_NOTES[code])
    return tuple(out)


# -- tables -------------------------------------------------------------------------------------------------


def table_headline(t: FitTable) -> str:
    """The answer over a table."""
    good = [r for r in t.rows if r.verdict == "recorded_good"]
    what = "stocks" if t.scion is not None else "varieties"
    if t.scion is not None:
        head = f"{counts.opening(t.scion.name)}: recorded good on {len(good)} of {len(t.rows)} {what}."
    else:
        where = t.tree_name or chain_text("", t.levels)
        head = f"On {where}: {len(good)} of {len(t.rows)} {what} are recorded good."
    return head


def table_lead(t: FitTable) -> str:
    """How many of the rest are what, in a sentence."""
    tally = {v: sum(r.verdict == v for r in t.rows) for v in WORDS}
    rest = ", ".join(f"{tally[v]} {WORDS[v]}" for v in ("no_record", "mixed", "recorded_bad") if tally[v])
    return f"The others: {rest}. No record is no yes." if rest else ""


def standing_text(t: FitTable) -> str:
    """What is recorded against a join that stands already; "" if nothing is."""
    if t.standing is None:
        return ""
    pair = t.standing.worst
    return (
        f"First of all, a join that stands already: {pair_name(pair)}, {verdict_words(t.standing.verdict, pair)}. "
        f"{shows_text(pair)} It stays whatever is set on top; the list is on the new joins alone."
    )


def row_why(row: FitRow) -> str:
    """The pair behind a row's verdict, with share and years."""
    if row.decides is None or row.verdict in ("recorded_good", "no_record"):
        return ""
    share = "" if row.share >= 0.995 else f", {u.percent(row.share)}"
    return f"{kind_name(row.decides.lower)}{share}"


def grouped_rows(t: FitTable) -> tuple[tuple[str, tuple[FitRow, ...]], ...]:
    """Rows by verdict, best first."""
    return tuple((v, rows) for v in WORDS if (rows := tuple(r for r in t.rows if r.verdict == v)))
