"""What the templates are given: the modules of `present` under their own names, and the bar's words."""

from __future__ import annotations

from barkslip.domain.act import ACTS, EVENTS
from barkslip.domain.graft import MARKS, STATES
from barkslip.present import (
    act,
    cautions,
    chain,
    chart,
    chimera,
    chimera_drawing,
    counts,
    dates,
    day,
    days,
    days_clock,
    days_ribbon,
    days_rows,
    days_words,
    days_year,
    days_year_chart,
    due,
    fault,
    fits,
    form,
    graft,
    heat,
    heat_cautions,
    heat_chart,
    heat_check,
    heat_marks,
    heat_plots,
    heat_rows,
    heat_steps,
    keeping,
    known,
    lists,
    marks,
    moving,
    night,
    night_chart,
    night_measures,
    night_scores,
    power,
    root,
    root_drawings,
    sticks,
    trace,
    trace_data,
    trace_graph,
    taste,
    tree,
    treeview,
    trial,
    trial_chart,
    units,
    weather,
    wood,
    wood_order,
    written,
)

#: (key, address, word, where): "phone" and "desk" entries show on one of the two bars only.
NAV = (
    ("today", "/", "Today", ""),
    ("walk", "/walk", "Walk", ""),
    ("trees", "/trees", "Trees", ""),
    ("grafts", "/grafts", "Grafts", "desk"),
    ("wood", "/wood", "Wood", ""),
    ("weather", "/weather", "Weather", "desk"),
    ("know", "/know", "Know", "desk"),
    ("search", "/search", "Search", "desk"),
    ("more", "/search", "More", "phone"),
)
#: Pages that the phone's bar keeps behind "More".
MORE = (
    ("grafts", "/grafts", "Grafts", "all grafts, by state"),
    ("night", "/night", "Cold night", "what a frost will hurt, and the least that prevents it"),
    ("heat", "/heat", "Heat and covers", "what will cook in the sun, and which cover to choose"),
    ("root", "/root", "What it stands on", "by leaves, union, thorns and fruit; what to look at next"),
    ("fits", "/fits", "What fits", "a variety on a tree or a chain, and what is recorded of each join"),
    ("days", "/days", "Days to graft", "which of the coming days are good, and why"),
    ("chimera", "/chimera", "The long shot", "a shoot out of the join, of two kinds in layers"),
    ("tasting", "/tasting", "Tasting", "right variety, good, or too early to judge"),
    ("trials", "/trials", "Trials", "small experiments: plan, number needed, lot, result"),
    ("trace", "/trace", "Trace", "where a suspicion leads, who was given wood, what is held back"),
    ("weather", "/weather", "Weather", "loggers, typed lows and highs, months"),
    ("events", "/events", "What happened", "frost, heat, hail, pests, open questions"),
    ("know", "/know", "Know", "numbers and words of the trade, with their sources"),
    ("garden", "/garden/edit", "The garden", "its place, units, and the authority's rules"),
    ("book", "/book", "The book", "backup, check, writing everything out"),
)


def template_globals() -> dict[str, object]:
    """Names that the templates use, besides `units`, `garden`, `on` and `new_id` of the page itself.

    The module of units is called `u` there, because `units` is the reader's choice of units.
    """
    return {
        "act": act, "chain": chain, "chart": chart, "counts": counts, "dates": dates, "day": day, "due": due,
        "fault": fault, "forms": form, "graftwords": graft, "knownwords": known, "lists": lists, "marks": marks,
        "treewords": tree, "treeview": treeview, "u": units, "weatherwords": weather, "wood": wood,
        "writtenwords": written, "night": night, "nightchart": night_chart, "measures": night_measures,
        "nightscores": night_scores,
        "cautions": cautions,
        "heat": heat, "heatcautions": heat_cautions, "heatchart": heat_chart, "heatcheck": heat_check,
        "heatmarks": heat_marks, "heatplots": heat_plots, "heatrows": heat_rows, "heatsteps": heat_steps,
        "rootwords": root, "rootdrawings": root_drawings,
        "fits": fits,
        "chimera": chimera, "chimeradrawing": chimera_drawing, "keepwords": keeping, "moving": moving,
        "stickwords": sticks, "orderwords": wood_order,
        "days": days, "daysclock": days_clock, "ribbon": days_ribbon, "daysrows": days_rows, "dayswords": days_words,
        "daysyear": days_year, "yearchart": days_year_chart,
        "taste": taste, "trialwords": trial, "trialchart": trial_chart, "powerwords": power,
        "tracewords": trace, "tracedata": trace_data, "tracegraph": trace_graph,
        "STATES": tuple(STATES), "MARKS": MARKS, "ACTS": ACTS, "EVENTS": EVENTS,
        "nav_pages": NAV, "more_pages": MORE, "more_keys": ("search", *(key for key, *_ in MORE)),
    }  # fmt: skip
