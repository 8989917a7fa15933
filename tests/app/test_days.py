"""Days to graft from files and from the demo garden: windows that were refused by what came of them, and good ones."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from importlib.util import find_spec
from pathlib import Path

import pytest

from barkslip.app.acts import log_act
from barkslip.app.context import Context
from barkslip.app.days import ask_days
from barkslip.app.days_fields import buds_from
from barkslip.app.days_hours import is_stale
from barkslip.app.settings import Settings
from barkslip.domain.errors import BarkslipError, InputError, NotFoundError
from barkslip.domain.timing import CAUTIONS, REASONS, UNKNOWNS, DaysVerdict

NOWHERE = Settings(Path("/none"))


def packaged(package: str, *parts: str) -> str:
    spec = find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    return str(Path(spec.origin).parent.joinpath(*parts))


GREENSBORO = packaged("pvlib", "data", "723170TYA.CSV")
MIAMI = packaged("pvlib", "data", "12839.tm2")
SHASTA = packaged("diyepw", "data", "tmy_epw_files", "USA_CA_Mount.Shasta.725957_TMYx.epw")
BARK = {"species": "citrus", "method": "bark graft", "members": "100", "seed": "1", "years": "no"}


def of_file(path: str, day: str, **fields: str) -> DaysVerdict:
    return ask_days(None, NOWHERE, {**BARK, "weather": path, "from": day, **fields})


def of_demo(ctx: Context, **fields: str) -> DaysVerdict:
    return ask_days(ctx, ctx.settings, {"members": "100", "seed": "1", "years": "no", "days": "3", **fields})


def check_whole(found: DaysVerdict) -> None:
    """What must hold of every answer."""
    for day in found.days:
        assert day.chance + sum(share for _, share in day.ended_by) == pytest.approx(1.0, abs=1e-9)
        assert 0.0 <= day.healing_days.p10 <= day.healing_days.p50 <= day.healing_days.p90 <= 1.0
        assert day.heat_dose.p10 >= 0.0
        assert 0.0 <= day.water_lost_pct.p50 <= 100.0
        assert set(day.reasons) <= set(REASONS)
    assert [day.date for day in found.days] == [
        (date.fromisoformat(found.days[0].date) + timedelta(days=i)).isoformat() for i in range(len(found.days))
    ]
    assert set(found.unknowns) <= set(UNKNOWNS)
    assert set(found.cautions) <= set(CAUTIONS)


# -- files, without a book ---------------------------------------------------------------------------------------


def wang_engel(temp_c: float) -> float:
    """Wang and Engel (1998) with the three temperatures of citrus, written a second time."""
    low, best, high = 13.0, 28.0, 38.0
    if not low < temp_c < high:
        return 0.0
    power = math.log(2.0) / math.log((high - low) / (best - low))
    x = ((temp_c - low) / (best - low)) ** power
    return 2.0 * x - x * x


def test_greensboro_in_june_links_when_its_air_says_so() -> None:
    """Hours read with pvlib, summed here: 15 days at the best temperature from 15 June, 10:00, in the air.

    The union is a limb in the sun: warmer than the air in the morning, too hot to heal on the clearest afternoons. The
    two balance within some days.
    """
    from pvlib.iotools import read_tmy3

    data, _ = read_tmy3(GREENSBORO, coerce_year=2024, map_variables=True)
    air = data["temp_air"].to_numpy()
    start = (date(2024, 6, 15) - date(2024, 1, 1)).days * 24 + 10
    total, hours = 0.0, 0
    while total < 15.0:
        total += wang_engel(float(air[start + hours])) / 24.0
        hours += 1
    found = of_file(GREENSBORO, "2024-06-15", days="2")
    check_whole(found)
    assert found.days[0].link_days is not None
    assert found.days[0].link_days.p50 == pytest.approx(hours / 24.0, abs=3.5)
    assert found.verdict == "ask bark test"
    assert found.days[0].source == "typical year"
    assert found.release_date.p50 is not None
    assert "2024-07-01" < found.release_date.p50 < "2024-08-01"


def test_greensboro_in_october_is_too_late_for_citrus() -> None:
    found = of_file(GREENSBORO, "2024-10-15", days="2", bark="lifts")
    check_whole(found)
    assert found.verdict == "not now"
    assert found.days[0].chance < 0.25
    assert set(found.reasons) >= {"frost_before_link", "late_in_season"}
    assert found.days[0].frost_hours.p50 > 100
    assert found.release_date.p90 is None


def test_miami_in_april_is_good_for_citrus_and_frostless() -> None:
    found = of_file(MIAMI, "2024-04-15", days="2", bark="lifts", cover="foil sleeve")
    check_whole(found)
    assert (found.verdict, found.set_on, found.bark_rule) == ("today", "2024-04-15", "test")
    assert found.days[0].frost_hours.p90 == 0.0
    assert found.days[0].chance > 0.7


def test_mount_shasta_by_season() -> None:
    """1,080 m up: citrus hardly heals in January; apple set in May has the summer before it."""
    winter = of_file(SHASTA, "2024-01-10", days="1", bark="lifts")
    check_whole(winter)
    assert (winter.verdict, winter.days[0].link_days) == ("not now", None)
    assert winter.days[0].healing_days.p50 < 0.2
    spring = of_file(SHASTA, "2024-05-20", species="apple", method="whip and tongue", days="1", cover="film")
    check_whole(spring)
    assert (spring.verdict, spring.bark_rule) == ("today", "no need")
    assert spring.curve is not None
    assert spring.curve.species == "apple"


def test_a_bark_that_tears_is_not_grafted_however_fine_the_weather() -> None:
    found = of_file(MIAMI, "2024-04-15", days="1", bark="tears")
    assert (found.verdict, found.reasons[0]) == ("not now", "bark_tears")


def test_one_seed_gives_one_answer() -> None:
    assert of_file(MIAMI, "2024-04-15", days="1") == of_file(MIAMI, "2024-04-15", days="1")


def test_a_species_of_which_nothing_is_known_has_no_numbers() -> None:
    found = of_file(MIAMI, "2024-04-15", species="jaboticaba")
    assert (found.verdict, found.reasons, found.days, found.curve) == ("unknown", ("species_unknown",), (), None)
    assert found.release_date.p50 is None
    assert "healing_curve" in found.unknowns


@pytest.mark.slow
def test_the_weeks_of_a_typical_year() -> None:
    found = of_file(GREENSBORO, "2024-06-15", days="1", years="yes")
    weeks = {w.month_day: w for w in found.year}
    assert len(weeks) == 52
    assert {w.years for w in found.year} == {1}
    assert (weeks["06-11"].worked, weeks["01-08"].worked, weeks["11-19"].worked) == (1, 0, 0)


def test_no_place() -> None:
    with pytest.raises(InputError) as caught:
        ask_days(None, NOWHERE, {"species": "citrus", "from": "2024-04-15"})
    assert caught.value.message == (
        "The place is not known, so neither is the sun: north or south of the equator is the first thing it needs.\n"
        "Allowed: a latitude, −90 to 90, south negative; two decimals are enough\n"
        "Next: Give the latitude, or fill in the garden's place."
    )


def test_a_place_without_weather_is_not_known() -> None:
    found = ask_days(None, NOWHERE, {"species": "citrus", "lat": "36", "from": "2024-04-15"})
    assert (found.verdict, found.reasons, found.days) == ("unknown", ("no_weather",), ())


def test_a_file_that_is_not_there() -> None:
    with pytest.raises(InputError) as caught:
        of_file("/none/weather.epw", "2024-04-15")
    assert caught.value.message == (
        "There is no such weather file.\n"
        "Given: /none/weather.epw\n"
        "Allowed: a file of hours: EPW, TMY, ISD-Lite, NetCDF, or a table\n"
        "Next: Check the path."
    )


# -- the demo garden ---------------------------------------------------------------------------------------------


def test_the_window_of_2021_is_refused(shown_demo: Context) -> None:
    """Four bark grafts of persimmon set on 14 September 2021 with buds already moving; none took."""
    found = of_demo(shown_demo, graft="G02-1", **{"from": "2021-09-14"})
    check_whole(found)
    assert (found.plan.buds, found.plan.cover, found.plan.tree) == ("pushing", "foil_sleeve", "T08")
    assert found.verdict == "not now"
    assert set(found.reasons) >= {"too_cold", "buds_before_union"}
    assert found.days[0].chance < 0.5
    assert found.days[0].source == "measured"


def test_the_window_of_2022_is_accepted(shown_demo: Context) -> None:
    """Four set on 12 November 2022 with wood at rest and bark that lifted; four took."""
    found = of_demo(shown_demo, graft="G09-1", **{"from": "2022-11-12"})
    check_whole(found)
    assert (found.plan.buds, found.plan.bark, found.bark_rule) == ("resting", "lifts", "test")
    assert (found.verdict, found.reasons) == ("today", ("good",))
    assert found.days[0].chance > 0.8


def test_cool_days_and_moving_buds_each_do_their_part(shown_demo: Context) -> None:
    def chance(graft: str, day: str, buds: str) -> tuple[float, float]:
        found = of_demo(shown_demo, graft=graft, buds=buds, days="1", **{"from": day}).days[0]
        assert found.link_days is not None
        return found.chance, found.link_days.p50

    cool, warm = ("G02-1", "2021-09-14"), ("G09-1", "2022-11-12")
    assert chance(*cool, "pushing")[0] < chance(*cool, "swelling")[0] < chance(*cool, "resting")[0]
    assert chance(*warm, "pushing")[0] < chance(*warm, "resting")[0]
    assert chance(*cool, "resting")[1] > 1.3 * chance(*warm, "resting")[1]


def test_a_tree_of_the_book_asks_for_a_test_of_its_bark(demo: Context) -> None:
    ask = {"tree": "T08", "method": "bark graft", "from": "2024-11-12"}
    assert of_demo(demo, **ask).verdict == "ask bark test"
    log_act(demo, {"kind": "bark test", "tree": "T08", "detail": "lifts", "on": "2024-11-08"})
    found = of_demo(demo, **ask)
    assert (found.verdict, found.plan.bark) == ("today", "lifts")
    assert of_demo(demo, **ask, bark="tears").verdict == "not now"
    assert of_demo(demo, **(ask | {"method": "cleft"})).bark_rule == "no need"


def test_a_limb_gives_its_bearing_and_a_size_is_a_size(shown_demo: Context) -> None:
    named = of_demo(shown_demo, tree="T01", limb="L3", days="1").plan
    assert (named.bearing_deg, named.limb_mm) == (225.0, 50.0)
    sized = of_demo(shown_demo, tree="T01", limb="62 mm", days="1").plan
    assert (sized.bearing_deg, sized.limb_mm) == (None, 62.0)
    with pytest.raises(InputError) as caught:
        of_demo(shown_demo, tree="T01", limb="K1")
    assert caught.value.problem == "There is no such limb on T01 Gatepost."


def test_the_kind_of_a_tree_decides_and_a_typed_one_wins(shown_demo: Context) -> None:
    assert of_demo(shown_demo, tree="T07", days="1").curve is not None
    curves = [of_demo(shown_demo, tree=code, days="1").curve for code in ("T07", "T09", "T01")]
    assert [c.species for c in curves if c is not None] == ["apple", "plum", "citrus"]
    typed = of_demo(shown_demo, tree="T01", species="jaboticaba", days="1")
    assert (typed.verdict, typed.curve) == ("unknown", None)


def test_midwinter_after_the_forecast_goes_on_with_own_years(shown_demo: Context) -> None:
    found = of_demo(shown_demo, tree="T01", days="14")
    check_whole(found)
    assert found.verdict == "not now"
    assert found.days[0].source == "measured"
    assert {d.source for d in found.days} == {"measured", "forecast", "own years"}
    assert "after_forecast" in found.unknowns
    assert found.years == 5


def test_a_spring_to_come_is_told_by_own_years(shown_demo: Context) -> None:
    found = of_demo(shown_demo, tree="T01", method="cleft", **{"from": "2025-10-08"})
    check_whole(found)
    assert found.days[0].date == "2025-10-08"
    assert {d.source for d in found.days} == {"own years"}
    assert found.days[0].chance > 0.7


@pytest.mark.slow
def test_the_weeks_of_the_demo_are_kept(demo: Context) -> None:
    ask = {"tree": "T01", "method": "bark graft", "years": "yes", "days": "1"}
    found = of_demo(demo, **ask)
    weeks = {w.month_day: w for w in found.year}
    assert weeks["10-08"].worked == weeks["10-08"].years == 5
    assert weeks["06-18"].worked == 0
    assert of_demo(demo, **ask, bark="lifts").year is found.year
    assert of_demo(demo, **ask, cover="film").year == found.year
    assert of_demo(demo, **ask, cover="foil sleeve").year != found.year


def test_things_that_are_not_in_the_book(shown_demo: Context) -> None:
    for fields in ({"tree": "T99"}, {"graft": "G99-1"}, {"tree": "T01", "plot": "NOWHERE"}):
        with pytest.raises(NotFoundError):
            of_demo(shown_demo, **fields)
    with pytest.raises(BarkslipError) as caught:
        of_demo(shown_demo)
    assert caught.value.problem == "What is to be grafted?"


def test_a_forecast_grows_stale_in_a_garden_that_is_real(demo: Context, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not is_stale(demo, None, ("forecast",), demo.knowledge)
    real = replace(demo.garden(), invented=False)
    monkeypatch.setattr(Context, "garden", lambda self: real)
    assert not is_stale(demo, None, ("measured", "forecast"), demo.knowledge)
    demo.now = lambda: datetime.now(UTC) + timedelta(days=3)
    assert is_stale(demo, None, ("measured", "forecast"), demo.knowledge)
    assert not is_stale(demo, None, ("measured", "own years"), demo.knowledge)
    assert not is_stale(None, None, ("forecast",), demo.knowledge)


@pytest.mark.parametrize(
    ("notes", "buds"),
    [
        (("Buds swelling when used.",), "swelling"),
        (("Buds swelling when used.", "Buds were moving in the fridge already."), "pushing"),
        (("Tight and green when used.",), ""),
        (("Plump and green, no bud moving.",), ""),
        (("Set four days after the nurse limb was moved.",), ""),
        (("", ""), ""),
    ],
)
def test_what_growers_write_of_buds(notes: tuple[str, ...], buds: str) -> None:
    assert buds_from(*notes) == buds
