"""`barkslip scores`: the morning after a cold night."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed, writing


@click.command("scores", short_help="The morning after: lows read, and how past answers have done.")
@click.argument("plot", metavar="[PLOT]", required=False)
@fields(
    ("low", "TEMP", "Low that was read in PLOT: set beside the answer kept for that night."),
    ("date", "DATE", "Day of the evening; yesterday if left out."),
)
@writing
@common
@pass_call
def command(call: Call, /, plot: str | None, **given: Any) -> None:
    """How past answers about cold nights have done in PLOT, and what the plot differs by, learned from its own nights.

    An answer is kept with: barkslip night --tree CODE --keep
    """
    from barkslip.app import scores
    from barkslip.app.garden import plots
    from barkslip.domain.score import summed_up
    from barkslip.present import night_scores as words
    from barkslip.present.dates import day_text
    from barkslip.present.night import spread_text
    from barkslip.present.units import temperature

    ctx = call.open()
    every = plots(ctx)
    code = plot or (every[0].code if every else "")
    asked = typed(given)
    if asked.get("low"):
        answer = call.write(asked, lambda f: scores.type_low(ctx, code, f))
        if call.as_json:
            call.json(answer)
            return
        read = temperature(answer.measured_low_c or 0.0, call.units)
        call.say(f"Written down for {code.upper()}, night of {day_text(answer.day)}: {read}.")
        return
    with ctx.book.read() as reader:
        from barkslip.domain.garden import Plot

        chosen = reader.by_code(Plot, code)
    found = scores.scores(ctx, chosen)
    offset = scores.learned_offset(ctx, chosen)
    if call.as_json:
        call.json({"plot": chosen.code, "summary": summed_up(found), "scores": found, "offset": offset})
        return
    summary = summed_up(found)
    call.say(f"{chosen.name}: {words.headline(summary)}")
    call.say(words.text(summary, call.units))
    for line in words.offset_lines(offset, call.units) if offset else ():
        call.say(line)
    if found:
        rows = [
            (
                day_text(s.day),
                temperature(s.forecast_low_c, call.units) if s.forecast_low_c is not None else "–",
                spread_text(s.our_low_c, call.units) if s.our_low_c else "–",
                temperature(s.measured_low_c, call.units) if s.measured_low_c is not None else "–",
            )
            for s in found
        ]
        call.screen.table(("Night", "Forecast", "Ours", "Measured"), rows)
