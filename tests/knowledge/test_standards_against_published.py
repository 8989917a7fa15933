"""Stages, passport fields, names and limits against the standards they come from."""

import tomllib
from pathlib import Path

import pytest

from barkslip.domain.units import convert
from barkslip.domain.variety import botanical_name, written_name
from barkslip.knowledge.load import load

PUBLISHED = Path(__file__).parents[1] / "published"


def published(name):
    return tomllib.loads((PUBLISHED / name).read_text(encoding="utf-8"))


def test_citrus_codes_against_agusti_1997():
    scale = published("bbch_agusti_1997.toml")
    ours: dict[str, list[str]] = {}
    for stage in load().bbch:
        assert stage.crop == scale["crop"]
        ours.setdefault(str(stage.principal_digit), []).append(stage.code)
    assert ours == scale["principal"]


def test_figures_in_the_wording_against_agusti_1997():
    knowledge = load()
    for code, percent in published("bbch_agusti_1997.toml")["percent"].items():
        assert f"{percent} %" in knowledge.stage(code).meaning, code


def test_one_name_for_a_principal_stage():
    names = {(s.principal_digit, s.principal) for s in load().bbch}
    assert len(names) == 8


def test_passport_fields_against_mcpd_2_1():
    lists = published("mcpd_v2_1.toml")
    status = {row.cell("name"): row.cell("status") for row in load().mcpd}
    assert set(status) == {*lists["seen_2001"], *lists["recalled"]}
    for name in lists["seen_2001"]:
        assert status[name] == "published", name
    assert [n for n in lists["recalled"] if status[n] == "published"] == ["PUID"]  # its idea was read, not its line


@pytest.mark.parametrize("case", published("icncp_examples.toml")["cultivar"], ids=lambda c: c["epithet"])
def test_cultivar_names_against_icncp(case):
    assert written_name(case["epithet"], taxon=case["taxon"]) == case["written"]


@pytest.mark.parametrize("case", published("icncp_examples.toml")["trade"], ids=lambda c: c["epithet"])
def test_trade_designation_stands_apart_against_icncp(case):
    written = written_name(case["epithet"], taxon=case["taxon"], trade_name=case["trade_name"])
    assert written == case["written"]
    assert f"'{case['trade_name']}" not in written


@pytest.mark.parametrize("case", published("icncp_examples.toml")["hybrid"], ids=lambda c: c["typed"])
def test_hybrid_sign_against_icncp(case):
    assert botanical_name(case["typed"]) == case["written"]


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("washington navel", "'Washington' navel orange"),
        ("WASHINGTON", "'Washington' navel orange"),
        ("'Lane Late'", "'Lane Late' navel orange"),
        ("owari satsuma", "'Owari' satsuma"),
        ("carrizo", "'Carrizo' citrange"),
        ("US 942", "'US-942' citrandarin"),
        ("rough lemon", "rough lemon"),  # a species: no quotation marks
        ("yuzu", "yuzu"),
        ("key lime", "Mexican lime"),
        ("Seville orange", "Seville orange"),
        ("Grandmother's  lemon", "Grandmother's lemon"),  # not known: as it was given
    ],
)
def test_known_names_are_written_by_the_code(typed, written):
    assert load().icncp(typed) == written


def test_botanical_writing():
    knowledge = load()
    assert knowledge.botanical("Washington navel") == "Citrus × sinensis 'Washington'"
    assert knowledge.botanical("Carrizo") == "'Carrizo' citrange"


def test_quotation_marks_are_not_doubled():
    assert written_name("'Moro'", "blood orange") == "'Moro' blood orange"
    assert written_name("‘Moro’", "blood orange") == "'Moro' blood orange"


@pytest.mark.parametrize("key", list(published("weather_limits.toml")["network"]))
def test_limits_against_station_network(key):
    low, high, unit = published("weather_limits.toml")["network"][key]
    value = load().value(f"weather.{key}")
    if unit != value.unit:
        low, high = convert(low, unit, value.unit), convert(high, unit, value.unit)
    assert value.low == pytest.approx(low, abs=0.05)
    assert value.high == pytest.approx(high, abs=0.05)
    assert value.source == "met.network-limits"


@pytest.mark.parametrize("key", list(published("weather_limits.toml")["screening"]))
def test_steps_against_screening_criteria(key):
    value = load().value(f"weather.{key}")
    assert [value.value, value.unit] == published("weather_limits.toml")["screening"][key]
    assert value.source == "met.screening"
