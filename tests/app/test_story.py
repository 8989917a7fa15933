"""What the use cases bring together, on the demo garden."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.app import find, grafts, trees, wood
from barkslip.app import today as use
from barkslip.app.context import Context
from barkslip.app.derive import trees_now
from barkslip.domain.tree import Tree
from barkslip.fieldbook import lists
from barkslip.present.chain import chain_text


def test_today_is_by_plot_and_in_walking_order(shown_demo: Context) -> None:
    today = use.today(shown_demo)
    assert today.on == date(2025, 6, 30)
    orders = [p.plot.walk_order for p in today.plots]
    assert orders == sorted(orders)
    for plot in today.plots:
        inside = [tree.tree.walk_order for tree, _ in plot.trees]
        assert inside == sorted(inside)
    kinds = {d.kind for p in today.plots for t, gs in p.trees for d in (*t.due, *(d for g in gs for d in g.due))}
    assert {"release", "cover", "wrap check", "brace", "rub", "look"} <= kinds
    assert today.waiting == 2


def test_coming_nights_come_from_the_forecast(shown_demo: Context) -> None:
    low = next(p for p in use.today(shown_demo).plots if p.plot.code == "LOW")
    assert [d.forecast for d in low.coming] == [True] * 7
    assert low.coming[0].day == "2025-07-01"
    assert min(d.night_low_c for d in low.coming if d.night_low_c is not None) < 0


def test_a_past_day_shows_what_was_due_then(shown_demo: Context) -> None:
    then = use.today(shown_demo, date(2024, 10, 15))
    first = [g.graft.code for p in then.plots for _, gs in p.trees for g in gs for d in g.due if d.kind == "first look"]
    seen = [g.graft.code for p in then.plots for _, gs in p.trees for g in gs if g.standing.looks]
    assert first or seen
    assert all(not code.startswith("G15") for code in first)
    assert then.waiting == 16


def test_heat_ahead_asks_for_shade(shown_demo: Context) -> None:
    before = use.today(shown_demo, date(2023, 12, 17))
    shade = [d for p in before.plots for t, _ in p.trees for d in t.due if d.kind == "shade"]
    assert shade
    assert shade[0].closes == date(2023, 12, 18)


def test_the_lists_kept_are_the_lists_worked_out(demo: Context) -> None:
    """After every kind of write the kept lists equal a fresh fold over all entries."""
    from barkslip.app import acts

    grafts.log_look(demo, "G14-5", {"state": "pushing", "shoot": "45"})
    acts.log_act(demo, {"kind": "release", "graft": "G14-12"})
    acts.log_act(demo, {"kind": "rub", "tree": "T03", "count": "4"})
    grafts.set_grafts(demo, {"tree": "T02", "n": "2", "lot": "W12", "method": "bark graft", "set_on": "2025-06-20"})
    grafts.correct_graft(demo, "G14-5", {"binding": "raffia"})
    trees.save_tree(demo, {"walk_order": "77"}, code="T02")
    with demo.book.read() as reader:
        for now in trees_now(reader, [t.thing for t in reader.every(Tree)], demo.care):
            things = [g.graft for g in now.grafts]
            assert lists.standings(reader, things) == {g.graft: g.standing for g in now.grafts}
            kept = lists.due_of(reader, grafts=things, trees=[now.tree])
            assert {k: set(v) for k, v in kept.items()} == {
                k: set(v) for k, v in ((now.tree, now.due), *((g.graft, g.due) for g in now.grafts)) if v
            }


def test_dead_is_taken_back_by_a_later_look(shown_demo: Context) -> None:
    standing = grafts.graft_story(shown_demo, "G08-1").card.standing
    assert standing.word == "took"
    assert standing.taken_back


@pytest.mark.parametrize(
    ("code", "text"),
    [
        ("G01-1", "'Owari' satsuma / trifoliate orange (98 %)"),
        ("G10-1", "'Methley' plum / 'Santa Rosa' plum (90 %) / ?"),
    ],
)
def test_chain_is_written_top_down_with_a_mark_for_the_unknown(shown_demo: Context, code: str, text: str) -> None:
    written = chain_text(grafts.graft_story(shown_demo, code).chain)
    for part in text.split(" / "):
        assert part.split(" (")[0] in written
    assert "//" not in written.replace(" ", "")


def test_a_chain_of_three(shown_demo: Context) -> None:
    chain = grafts.graft_story(shown_demo, "G06-1").chain
    assert [p.level for p in chain] == ["scion", "interstock", "rootstock"]
    assert [round(c.belief, 2) for c in chain[2].candidates] == [0.45, 0.35, 0.2]


def test_a_wrong_name_reaches_every_graft_of_its_lot(shown_demo: Context) -> None:
    for card in wood.lot_story(shown_demo, "W08").grafts:
        assert "Granny Smith" in card.name_doubt
        assert "Granny Smith" in grafts.graft_story(shown_demo, card.graft.code).chain[0].name


def test_former_names_still_find_the_limb(shown_demo: Context) -> None:
    assert "T01" in {h.code for h in find.find(shown_demo, "L2")}
    with shown_demo.book.read() as reader:
        tree = trees.find_tree(reader, "T01")
        assert trees.find_limb(reader, tree, "L2").label == trees.find_limb(reader, tree, "L2a").label


@pytest.mark.parametrize(
    ("text", "code"), [("gatepost", "T01"), ("W08", "W08"), ("naartjie", "T02"), ("granny", "W08")]
)
def test_anything_is_found(shown_demo: Context, text: str, code: str) -> None:
    assert code in {h.code for h in find.find(shown_demo, text)}


def test_search_survives_any_signs(shown_demo: Context) -> None:
    for text in ("", "'", '"', "*", "a AND", "NEAR(", "-x", "ü", "%"):
        find.find(shown_demo, text)


def test_weather_since_setting_counts_by_the_known_lines(shown_demo: Context) -> None:
    weather = grafts.graft_story(shown_demo, "G05-1").weather
    assert weather is not None
    assert weather.high_c == pytest.approx(42.3, abs=0.3)
    assert weather.share == pytest.approx(1.0, abs=0.01)
    assert (weather.frost_c, weather.heat_c) == (0.0, 38.0)


def test_the_passport_uses_the_standards_fields(shown_demo: Context) -> None:
    passport = dict(wood.lot_story(shown_demo, "W01").mcpd)
    assert passport["ACCENUMB"] == "W01"
    assert passport["COLLDATE"] == "20210920"
    assert passport["ACQDATE"] == "20210923"
    assert passport["ACCENAME"] == "Washington navel"


def test_a_graft_taken_back_takes_its_looks_and_acts_with_it(demo: Context) -> None:
    from barkslip.app import book
    from barkslip.domain.graft import Graft, Look

    graft = grafts.graft_story(demo, "G14-5").card.graft
    trees.take_back(demo, Graft, graft.thing)
    with demo.book.read() as reader:
        assert reader.every(Look, "graft = :graft", graft=graft.thing) == []
        assert reader.versions(Look, reader.rows("SELECT thing FROM look WHERE graft = :g", g=graft.thing)[0][0])
    assert book.check(demo) == ()


def test_a_typed_low_is_still_the_low_of_its_month(demo: Context) -> None:
    from barkslip.app import weather

    card = weather.type_days(
        demo, {"plot": "LOW", "day_1": "2025-06-29", "low_1": "22 °F", "high_1": "50 °F", "sure": "unit unusual"}
    )
    month = weather.series_story(demo, card.thing).months[0]
    assert (month.low_c, month.high_c) == (pytest.approx(-5.5556, abs=1e-3), pytest.approx(10.0))
