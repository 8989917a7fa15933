"""`barkslip trial`: small experiments, planned before they start and read without fooling oneself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing

if TYPE_CHECKING:
    from barkslip.domain.power import MeasuredPower, TakePower
    from barkslip.domain.trial_result import TrialResult, TrialStory

_DRAWN_OVER = (
    ("blocks", "LINES", "Trees or sides with their places, ; between them: 'T01 N x4; T02 N x4'. Ways are compared "
     "within them."),
    ("each", "N", "Units in each way, without blocks."),
    ("nights", "N", "Nights: covers change over from tree to tree; blocks are the trees then."),
)  # fmt: skip


@click.group("trial", cls=Noun, short_help="Small trials: plan, number needed, lot, readings, result.")
@common
def command() -> None:
    """Small trials: a plan before they start, the number needed, the lot, readings, and the result in plain words."""


@command.command("plan", short_help="Write down a trial before it starts.")
@click.argument("question", required=False, default="")
@fields(
    ("arms", "LINES", "What is compared, the usual way first, ; between them: 'T-bud; chip bud'."),
    ("unit", "WORD", "What counts as one: graft, tree, night or placement."),
    ("looked_at", "TEXT", "What is looked at, and when."),
    ("stop", "TEXT", "When it ends."),
    ("min_difference", "SIZE", "Least difference worth knowing: '20 %' of takes, or in the unit of what is read."),
    ("power", "SHARE", "Wanted chance of seeing it, such as 0.8."),
    *_DRAWN_OVER,
    ("seed", "N", "Seed of the lot; one is made if left out."),
    ("season", "TEXT", "Season, such as 2025/26."),
    ("design", "TEXT", "Anything else about how it is done."),
    ("note", "TEXT", "Note."),
    ("code", "CODE", "Code of the trial; one is made if left out."),
)
@click.option("--edit", is_flag=True, help="Correct the plan of the trial --code names.")
@writing
@common
@pass_call
def plan_command(call: Call, /, question: str, edit: bool, **given: Any) -> None:
    """Write down a trial before it starts; with blocks or a number its lot is drawn at once."""
    from barkslip.app import trial_plans, trials

    words = typed(given)
    if question:
        words["question"] = question
    code = words.pop("code", "") if edit else ""
    trial = call.write(words, lambda f: trial_plans.save_plan(call.open(), f, code=code))
    story = trials.trial_story(call.open(), trial.code)
    if _as_json(call, story):
        return
    call.say(f"Trial {trial.code} is {'corrected' if edit else 'planned'}.")
    _show_plan(call, story)


@command.command("power", short_help="How many are needed to see a difference.")
@fields(
    ("a", "SHARE", "Take of the usual way, 0.6 or '60 %'."),
    ("b", "SHARE", "Take of the other way."),
    ("power", "SHARE", "Wanted chance of seeing it; 0.8 if left out."),
    ("alpha", "SHARE", "False alarm, both sides together; 0.05 if left out."),
    ("n", "N", "A number in each way (or of pairs) to ask about."),
    ("per_tree", "N", "Grafts of a tree that all stand in one way."),
    ("icc", "SHARE", "Likeness of grafts on one tree; 0.1 if left out."),
    ("stop_every", "N", "In each way, between two looks of a trial that may stop early."),
    ("difference", "SIZE", "Of what is measured instead of takes: difference looked for."),
    ("sd", "SIZE", "Its spread: of differences within a pair, or of units."),
    ("paired", "YES|NO", "Both ways are read in each night, tree or place; yes if left out."),
)
@common
@pass_call
def power_command(call: Call, /, **given: Any) -> None:
    """How many are needed to see a difference, and what a given number can see. Needs no book."""
    from barkslip.app.trial_power import ask_power

    words = typed(given)
    found = ask_power(None, call.settings(), words)
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present import power

        call.json(power.data(found), METRIC)
        return
    show_power(call, found)


def show_power(call: Call, found: TakePower | MeasuredPower) -> None:
    """The answer on the terminal."""
    from barkslip.domain.power import TakePower
    from barkslip.present import power

    screen = call.screen
    screen.line(power.headline(found), "bold")
    screen.line(power.text(found))
    if power.own_text(found):
        screen.line(power.own_text(found))
    screen.head("Chance of seeing it")
    screen.table(("", ">"), power.rows(found), indent=2)
    if isinstance(found, TakePower):
        screen.head("Counted in three ways, in each arm")
        screen.table(("", ">"), power.ways(found), indent=2)
        if found.stop is not None:
            screen.head("Stopping early")
            screen.line(power.stop_text(found.stop))
        screen.head("Worth knowing")
        screen.table(("!", ""), [("-", words) for words in power.ADVICE], indent=2)


@command.command("draw", short_help="Draw the lot of a planned trial, once.")
@click.argument("code")
@fields(*_DRAWN_OVER, ("seed", "N", "Seed of the lot; as planned if left out."))
@writing
@common
@pass_call
def draw_command(call: Call, /, code: str, **given: Any) -> None:
    """Draw the lot of a planned trial, once, and print it."""
    from barkslip.app import trial_plans, trials

    words = typed(given)
    call.write(words, lambda f: trial_plans.draw_lot(call.open(), code, f))
    story = trials.trial_story(call.open(), code)
    if not _as_json(call, story):
        _show_plan(call, story)


@command.command("read", short_help="Write down a reading, or the count of one arm.")
@click.argument("code")
@fields(
    ("unit", "UNIT", "What was looked at, as drawn: E6-03, or 'T03 night 2'."),
    ("value", "VALUE", "Number read; yes or no for a graft; with --tried how many took."),
    ("tried", "N", "How many were set in the way: the count of a whole arm is written."),
    ("arm", "ARM", "The way it had, if it was not drawn."),
    ("block", "BLOCK", "Tree, side or night, if it was not drawn."),
    ("on", "DATE", "Day of reading, of a night the day of its dawn; today if left out."),
    ("of", "WORD", "What the number is: took, gain_k, excess_k, shoot_mm, days, brix, score9, number."),
    ("logger", "CODE", "Logger it comes from: its known error is taken off in the result."),
    ("note", "TEXT", "Note."),
)
@writing
@common
@pass_call
def read_command(call: Call, /, code: str, **given: Any) -> None:
    """Write down one reading of a trial, or the count of one arm."""
    from barkslip.app import trial_plans, trials

    call.write(typed(given), lambda f: trial_plans.save_reading(call.open(), code, f))
    story = trials.trial_story(call.open(), code)
    if _as_json(call, story):
        return
    call.say(f"Written down for trial {story.trial.code}.")
    from barkslip.present import trial

    call.say(trial.headline(story, call.units))


@command.command("result", short_help="What a trial shows; all of them without a code.")
@click.argument("code", required=False, default="")
@common
@pass_call
def result_command(call: Call, /, code: str) -> None:
    """What a trial shows, in plain words; without a code all trials, a line each."""
    from barkslip.app import trials

    if code:
        story = trials.trial_story(call.open(), code)
        if not _as_json(call, story):
            show(call, story)
        return
    stories = trials.all_trials(call.open())
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.trial_data import list_data

        call.json(list_data(stories, call.units), METRIC)
        return
    _show_list(call, stories)


def _as_json(call: Call, story: TrialStory) -> bool:
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.trial_data import story_data

        # its keys are in the reader's units already
        call.json(story_data(story, call.units), METRIC)
    return call.as_json


def _show_list(call: Call, stories: list[TrialStory]) -> None:
    from barkslip.present import trial

    if not stories:
        call.say("No trial is in the book yet. Plan one: barkslip trial plan --help")
        return
    screen = call.screen
    for s in stories:
        screen.head(f"{s.trial.code} {s.trial.season}  {s.trial.question}")
        screen.line(trial.headline(s, call.units), indent=2)


def _show_plan(call: Call, story: TrialStory) -> None:
    from barkslip.present import trial

    plan = story.plan
    if plan is None:
        return
    screen = call.screen
    screen.head(f"{story.trial.code}  {story.trial.question}")
    screen.table(("!", ""), trial.plan_rows(plan), indent=2)
    if plan.draw:
        screen.head("Drawn by lot")
        rows = [(block, unit, arm) for block, held in trial.draw_rows(plan) for unit, arm in held]
        screen.table(("Block", "!Unit", "Way"), rows, indent=2)
    for words in trial.planned_text(story):
        screen.line(words, indent=2)


def show(call: Call, story: TrialStory) -> None:
    """One trial on the terminal."""
    from barkslip.present import trial

    screen = call.screen
    r = story.result
    screen.line(f"{story.trial.code}  {story.trial.question}")
    screen.line(trial.headline(story, call.units), "bold")
    if trial.size_text(r):
        screen.line(trial.size_text(r))
    _show_result(call, r)
    for part in r.apart:
        screen.head(f"{part.nights.capitalize()} nights, kept apart")
        screen.line(trial.result_headline(part, call.units))
        _show_result(call, part)
    if r.corrections:
        screen.head("Put right first")
        for c in r.corrections:
            screen.line(trial.correction_text(c, r.of, call.units), indent=2)
        screen.line(trial.before_text(r, call.units), indent=2)
    against = [words for words in trial.cautions(story, call.units) if words != trial.size_text(r)]
    if against:
        screen.head("Before you lean on it")
        screen.table(("!", ""), [("-", words) for words in against], indent=2)
    if story.trial.design:
        screen.head("How it was done")
        screen.line(story.trial.design, indent=2)
    if story.trial.note:
        screen.line(story.trial.note, indent=2)


def _show_result(call: Call, r: TrialResult) -> None:
    from barkslip.present import trial

    screen = call.screen
    if r.arms:
        screen.head(f"Ways: {trial.what_words(r.of)}")
        screen.table(
            ("", "Result (19 in 20)", "Counted"),
            [(a.arm, trial.arm_words(r, a, call.units), trial.counted_words(r, a)) for a in r.arms],
            indent=2,
        )
    if r.pairs:
        screen.head(f"Two by two: how much {trial.advantage(r.of)} the first has")
        screen.table(("", "", "Difference (19 in 20)", ">Better", ">p"), trial.pair_rows(r, call.units), indent=2)
        screen.line(trial.test_words(r), indent=2)
    if r.n_blocks > 1 and r.blocks:
        screen.head("Within blocks")
        arms = [a.arm for a in r.arms]
        rows = [(b.block, *(f"{b.counts[a][0]} of {b.counts[a][1]}" if a in b.counts else "" for a in arms))
                for b in r.blocks]  # fmt: skip
        screen.table(("", *arms), rows, indent=2)
    if trial.later_text(r.later):
        screen.line(trial.later_text(r.later), indent=2)
