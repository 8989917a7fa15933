"""Search by name."""

import pytest

from barkslip.knowledge.find import fold
from barkslip.knowledge.load import load


@pytest.fixture(scope="module")
def knowledge():
    return load()


def hits(knowledge, text, **how):
    return [(f.kind, f.key, f.how) for f in knowledge.find(text, **how)]


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Citrus × 'Lane Late'", "citrus lane late"),
        ("PATRÓN", "patron"),
        ("snoeiskêr", "snoeisker"),
        ("Buddha’s Hand", "buddhas hand"),
        ("C-35", "c 35"),
        ("Straße", "strasse"),
        ("  ", ""),
    ],
)
def test_fold(text, folded):
    assert fold(text) == folded


def test_best_fit_first(knowledge):
    assert hits(knowledge, "carrizo")[0] == ("rootstock", "carrizo", "same")
    assert hits(knowledge, "lane")[0] == ("variety", "lane_late", "starts")
    assert hits(knowledge, "navel", limit=3) == [
        ("variety", "navelina", "starts"),
        ("variety", "frost_navel", "part"),
        ("variety", "glen", "part"),
    ]


@pytest.mark.parametrize("text", ["patron", "PATRÓN", "Patrón", "portainjerto", "onderstam", "understock"])
def test_regional_words_with_and_without_accents(knowledge, text):
    assert ("word", "rootstock", "same") in hits(knowledge, text)


def test_synonyms(knowledge):
    assert hits(knowledge, "Afourer")[0] == ("variety", "w_murcott", "same")
    assert hits(knowledge, "hiryu")[0] == ("rootstock", "flying_dragon", "same")
    assert hits(knowledge, "zip tie")[0] == ("binding", "cable_tie", "same")


def test_keys_of_numbers_and_sources(knowledge):
    assert hits(knowledge, "care.first_look_days") == [("number", "care.first_look_days", "same")]
    assert ("source", "heal.S11", "same") in hits(knowledge, "heal.s11")


def test_growth_stage(knowledge):
    assert hits(knowledge, "bbch 65")[0] == ("growth stage", "citrus_65", "same")


def test_a_slip_of_the_finger_is_forgiven_only_when_nothing_fits(knowledge):
    assert hits(knowledge, "washingtn")[0] == ("variety", "washington", "near")
    assert {how for _, _, how in hits(knowledge, "washington")} <= {"same", "starts", "part"}
    assert hits(knowledge, "qqqqqq") == []


def test_kinds_and_limit(knowledge):
    assert {kind for kind, _, _ in hits(knowledge, "orange", kinds=("rootstock",))} == {"rootstock"}
    assert len(hits(knowledge, "a", limit=4)) == 4
    assert hits(knowledge, "") == []
    assert hits(knowledge, " '- ") == []


def test_a_find_carries_all_there_is_to_show(knowledge):
    found = knowledge.find("carrizo", kinds=("rootstock",))[0]
    assert found.name == "'Carrizo' citrange"
    assert dict(found.words)["sucker leaf"] == "trifoliolate"
    assert [s.key for s in found.sources] == ["chain.WA-DPIRD"]
    by_key = {e.key: e for e in found.values}
    size = by_key["rootstocks.carrizo.yield_per_year"]
    assert (size.label, size.value.value, size.value.unit) == ("yield of a tree in a year", 80.3, "kg")
    assert size.source.citation.startswith("Legua P")


def test_a_number_carries_its_source(knowledge):
    found = knowledge.find("healing.heat.cuticle")[0]
    assert (found.kind, found.values[0].value.value, found.sources[0].key) == ("number", 44, "heal.S48")


def test_recalled_words_say_so(knowledge):
    words = dict(knowledge.find("rootstock", kinds=("word",))[0].words)
    assert words["South Africa"] == "rootstock;onderstam (recalled)"
    assert words["Spanish"] == "patrón;portainjerto;pie"
