"""Forms of trials: the plan, the lot, a reading, and how many are needed."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.app.trials import trial_story
from barkslip.domain.errors import BarkslipError
from barkslip.domain.trial import Logger
from barkslip.domain.trial_result import LOOKED_AT, UNITS
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import Group, GroupedForm, field, grouped, number, select

Typed = Mapping[str, str] | None
_CRUMBS = (("/trials", "Trials"),)
_UNIT_WORDS = {
    "graft": "grafts, each by itself",
    "tree": "whole trees",
    "night": "nights that change over",
    "placement": "places of a logger",
}


def plan_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "") -> FormView:
    """Plan a trial, or correct its plan."""
    story = trial_story(ctx, code) if code else None
    plan = story.plan if story is not None else None
    fill = Fill(ctx, typed, story.trial if story is not None else None)
    of_plan = Fill(ctx, typed, plan)
    drawn = plan is not None and bool(plan.draw)
    arms = "\n".join(plan.arms) if plan is not None else ""
    fields = [
        FormField("question", "Question", value=fill.text("question"), required=True,
                  help="T-bud or chip bud? One question a trial"),
        FormField("arms", "Ways to compare", "textarea", (typed or {}).get("arms", arms), required=True,
                  help="One a line, the usual way first"),
        FormField("unit", "What counts as one", "select", of_plan.text("unit", default="graft"),
                  options=tuple((u, _UNIT_WORDS[u]) for u in UNITS)),
        FormField("looked_at", "What is looked at, and when", value=of_plan.text("looked_at"),
                  help="alive after 60 days"),
        FormField("stop", "When it ends", value=of_plan.text("stop"), help="when all are 60 days old"),
        FormField("min_difference", "Least difference worth knowing", value=_difference(of_plan),
                  help="20 % of takes; or 1 if degrees are read", group="d"),
        FormField("power", "Chance of seeing it", value=of_plan.text("power", default="0.8"), group="d"),
    ]  # fmt: skip
    if not drawn:
        fields += [
            FormField("blocks", "Trees and sides, with places", "textarea", of_plan.text("blocks") if typed else "",
                      help="T01 N x4, one a line: ways are drawn within each. May wait until the lot is drawn"),
            FormField("each", "Or so many in each way", "number", (typed or {}).get("each", ""), group="n", more=True,
                      help="Without blocks"),
            FormField("nights", "Nights", "number", (typed or {}).get("nights", ""), group="n", more=True,
                      help="If covers change over"),
        ]  # fmt: skip
    fields += [
        FormField("design", "Anything else about how", "textarea", fill.text("design"), more=True),
        FormField("season", "Season", value=fill.text("season"), more=True, group="s"),
        FormField("seed", "Seed of the lot", value=of_plan.text("seed") if plan is not None else (typed or {}).get(
            "seed", ""), more=True, group="s", help="Left empty, one is made"),
        FormField("code", "Code", value=fill.text("code"), more=True, help="Left empty, one is made"),
        FormField("note", "Note", "textarea", fill.text("note"), more=True),
    ]  # fmt: skip
    return FormView(
        title=f"Correct trial {code}" if code else "Plan a trial",
        action=f"/trials/{code}/edit" if code else "/trials/new",
        here="trials",
        cancel=f"/trials/{code}" if code else "/trials",
        crumbs=_CRUMBS,
        lead="" if code else "Two minutes now decide whether anything can be learned.",
        error=error,
        fields=(*fill.hidden(), *fields),
    )


def _difference(fill: Fill) -> str:
    text = fill.text("min_difference")
    if "min_difference" in fill.typed or fill.old is None or not text:
        return text
    value = float(text)
    return f"{100 * value:g} %" if 0.0 < value < 1.0 else text if value else ""


def draw_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str) -> FormView:
    """Draw the lot of a trial."""
    story = trial_story(ctx, code)
    fill = Fill(ctx, typed)
    seed = str(story.plan.seed) if story.plan is not None else ""
    return FormView(
        title=f"Draw the lot of {story.trial.code}",
        action=f"/trials/{story.trial.code}/draw",
        here="trials",
        cancel=f"/trials/{story.trial.code}",
        crumbs=(*_CRUMBS, (f"/trials/{story.trial.code}", story.trial.code)),
        lead="Once only: a lot that is drawn until it pleases is none. The same seed draws the same lot.",
        error=error,
        submit="Draw",
        fields=(
            *fill.hidden(),
            FormField("blocks", "Trees and sides, with places", "textarea", fill.text("blocks"),
                      help="T01 N x4, one a line; for nights that change over the trees alone"),
            FormField("each", "Or so many in each way", "number", fill.text("each"), group="n"),
            FormField("nights", "Nights", "number", fill.text("nights"), group="n"),
            FormField("seed", "Seed", "number", fill.text("seed", default=seed)),
        ),
    )  # fmt: skip


def reading_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str) -> FormView:
    """Write a reading of a trial down."""
    story = trial_story(ctx, code)
    fill = Fill(ctx, typed)
    plan = story.plan
    drawn = tuple(plan.draw) if plan is not None else ()
    arms = plan.arms if plan is not None else tuple(a.arm for a in story.result.arms)
    usual = story.result.of or ("took" if plan is None or plan.unit in ("graft", "tree") else "gain_k")
    with ctx.book.read() as reader:
        loggers = tuple((one.code, f"{one.code}: {one.place}") for one in reader.every(Logger, order="code"))
    of = tuple((key, f"{words}{f' [{unit}]' if unit != '1' else ''}") for key, (words, unit, _) in LOOKED_AT.items())
    fields = [
        FormField("unit", "Unit", value=fill.text("unit"), required=True, datalist=drawn,
                  help="As drawn; of a drawn unit the way is known"),
        FormField("value", "Reading", value=fill.text("value"), required=True, help="A number; yes or no for a graft",
                  group="v"),
        FormField("of", "What it is", "select", fill.text("of", default=usual), options=of, group="v"),
        FormField("on", "Day", "date", fill.text("on", default=fill.today.isoformat()),
                  help="Of a night the day of its dawn"),
        FormField("arm", "Way", "select", fill.text("arm"), more=bool(drawn),
                  options=(("", "as drawn"), *((a, a) for a in arms))) if arms else
        FormField("arm", "Way", value=fill.text("arm"), required=True),
        FormField("block", "Tree, side or night", value=fill.text("block"), more=True),
        FormField("logger", "Logger", "select", fill.text("logger"), more=True, options=(("", "none"), *loggers),
                  help="Its known error is taken off in the result, not here"),
        FormField("tried", "Or the count of a whole way: set", "number", fill.text("tried"), more=True,
                  help="Then the reading is how many of them took"),
        FormField("note", "Note", "textarea", fill.text("note"), more=True),
    ]  # fmt: skip
    return FormView(
        title=f"A reading of {story.trial.code}",
        action=f"/trials/{story.trial.code}/readings/new",
        here="trials",
        cancel=f"/trials/{story.trial.code}",
        crumbs=(*_CRUMBS, (f"/trials/{story.trial.code}", story.trial.code)),
        lead=story.trial.question,
        error=error,
        fields=(*fill.hidden(), *fields),
    )


def power_form(ctx: Context, typed: Mapping[str, str], error: BarkslipError | None, *, done: bool) -> GroupedForm:
    """How many are needed."""
    fill = Fill(ctx, typed)
    takes = Group(
        "Grafts that take or do not",
        (
            (field(fill, "a", "Take of the usual way", help="60 %", group="t"),
             field(fill, "b", "Take worth changing for", help="90 %", group="t")),
            (field(fill, "n", "Number in each way to ask about", help="May stay empty", group="n"),
             field(fill, "power", "Chance of seeing it", help="0.8 if left empty", group="n")),
        ),
        open=True,
    )  # fmt: skip
    trees = Group(
        "Whole trees in one way; stopping early",
        (
            (number(fill, "per_tree", "Grafts on a tree, all in one way", "", group="w"),
             number(fill, "icc", "Likeness on one tree", "", "0.1 if left empty", group="w")),
            (number(fill, "stop_every", "Look after every so many", "", "In each way"),),
        ),
    )  # fmt: skip
    measured = Group(
        "Something measured",
        (
            (number(fill, "difference", "Difference", "", group="m"), number(fill, "sd", "Its spread", "", group="m")),
            (select(fill, "paired", "Both ways in each night or tree", (("", "yes"), ("no", "no"))),),
        ),
        help="In one unit, such as K. The spread is that of differences within a pair.",
    )
    return grouped(
        (takes, trees, measured), typed, error, answered=done, title="How many are needed", action="/trials/power",
        submit="Count", here="trials",
    )  # fmt: skip
