"""Clean wood in the demo garden: what speaks against moving, rules, passports, takes of the book, chimeras."""

from __future__ import annotations

import csv
import io
import tomllib
from pathlib import Path

import pytest

from barkslip.app import chimera, keeping, moving, passport, wood
from barkslip.app.context import Context
from barkslip.app.sticks import ask_sticks, own_grafts
from barkslip.app.wood_order import ask_order
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Hold
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.graft import Graft
from barkslip.domain.moving import DO_NOT_MOVE
from barkslip.domain.when import on
from barkslip.present.chain import slash_text

PUBLISHED = Path(__file__).parents[1] / "published"


# -- moving --------------------------------------------------------------------------------------------------


def test_the_refused_lot_says_why(shown_demo: Context) -> None:
    found = moving.moving_lot(shown_demo, "W05")
    assert found.state == DO_NOT_MOVE
    assert {"regulated area", "refused", "no paper"} <= set(found.reasons)


def test_every_lot_says_do_not_move(shown_demo: Context) -> None:
    cards = wood.all_lots(shown_demo)
    assert len(cards) >= 16
    assert {moving.moving_lot(shown_demo, c.lot.code).state for c in cards} == {DO_NOT_MOVE}


def test_a_rule_stands_there_with_its_office_and_day_and_changes_nothing(demo: Context) -> None:
    moving.save_rule(
        demo,
        {"area": "Upper valley", "text": "Wood may leave with a permit.", "office": "Plant health office",
         "on": "2025-05-03", "until": "2025-06-15"},
    )  # fmt: skip
    found = moving.moving_lot(demo, "W01")
    assert found.state == DO_NOT_MOVE
    card = found.rules[0]
    assert (card.rule.area, card.rule.office, card.rule.on.iso()) == (
        "Upper valley", "Plant health office", "2025-05-03",
    )  # fmt: skip
    assert card.ask_again, "the day from which it must be asked again has come"
    assert card.age_d == 58


def test_a_rule_is_corrected_and_its_older_line_kept(demo: Context) -> None:
    first = moving.save_rule(demo, {"area": "A", "text": "No.", "office": "O"})
    moving.save_rule(demo, {"text": "No, never."}, rule=first.thing)
    rules = moving.moving(demo).rules
    assert [(r.rule.text, r.rule.office) for r in rules] == [("No, never.", "O")]
    assert not rules[0].ask_again


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"area": "A", "text": "No."},
            "The office that said so is missing.\nGiven: (nothing)\nAllowed: any words\n"
            "Next: Type the office that said so; if it is not known, write unknown.",
        ),
        (
            {"area": "A", "text": "No.", "office": "O", "on": "2025-05-03", "until": "2025-05-02"},
            "It would have to be asked again before it was asked.\nGiven: asked 2025-05-03, again from 2025-05-02\n"
            "Allowed: 2025-05-03 or later\nNext: Correct one of the two dates.",
        ),
    ],
)
def test_half_a_rule_is_told(demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        moving.save_rule(demo, fields)
    assert caught.value.message == message


def test_a_held_lot_says_so_on_its_label(demo: Context) -> None:
    from barkslip.present.moving import label_restriction

    with demo.book.write() as writer:
        lot = writer.by_code(WoodLot, "W12")
        new = demo.new_id()
        writer.append(
            Hold(id=new, thing=new, made_utc=demo.stamp(), why="infection", on=on(demo.today(demo.garden())),
                 lot=lot.thing)
        )  # fmt: skip
    assert "held" in moving.moving_lot(demo, "W12").reasons
    assert label_restriction(moving.bag_label(demo, "W12")) == "DO NOT MOVE, DO NOT GRAFT: held under suspicion."


def test_alcohol_and_flame_never_clean_a_blade(shown_demo: Context) -> None:
    """Roistacher et al. 1969: bleach stopped exocortis; flame, alcohol and six others failed."""
    ways = moving.blade_ways(shown_demo)
    failed = {w.name for w in ways if w.works == "no" and w.source == "chain.ROIST1969"}
    assert {"flame of a gas torch", "alcohol, burnt off or not"} <= failed
    assert not [w for w in ways if w.works == "yes" and "alcohol" in w.name]
    assert [w.name for w in ways if w.avoid] == ["caustic soda with formalin"]
    assert not [w for w in ways if "vinegar" in w.name], "vinegar keeps steel from rusting and cleans nothing"


# -- labels --------------------------------------------------------------------------------------------------


def test_a_label_has_what_the_trade_asks_for(shown_demo: Context) -> None:
    """Variety, day of cutting and source stand on a label (heal.S15)."""
    found = moving.bag_label(shown_demo, "W08")
    assert (found.name, found.claimed) == ("'Granny Smith' apple", "'Anna' apple")
    assert (found.cut, found.cut_mcpd) == ("2021-07-10", "20210710")
    assert found.source == "club exchange: Exchange table"
    assert found.invented


# -- keeping -------------------------------------------------------------------------------------------------


def test_keeping_of_demo_lots(shown_demo: Context) -> None:
    soaked = keeping.keep_lot(shown_demo, "W09")
    assert (soaked.kind, soaked.store, soaked.signs) == ("citrus", "fridge", ("wet",))
    beside = keeping.keep_lot(shown_demo, "W07")
    assert (beside.kind, beside.signs, beside.used_d) == ("deciduous", ("fruit", "warm"), (58, 58))
    assert keeping.keep_lot(shown_demo, "T05a").kind == "citrus", "by the tree it was cut from"


def test_another_store_and_day_can_be_asked_for(shown_demo: Context) -> None:
    found = keeping.keep_lot(shown_demo, "W01", {"on": "2021-09-25", "store": "room"})
    assert (found.store, found.age_d, found.state) == ("room", (5, 5), "within")
    with pytest.raises(InputError) as caught:
        keeping.keep_lot(shown_demo, "W01", {"store": "attic"})
    assert caught.value.message == (
        "Not one of the choices.\nGiven: attic\nAllowed: fridge, cold, room\nNext: Choose one from the list."
    )
    with pytest.raises(NotFoundError):
        keeping.keep_lot(shown_demo, "W99")


# -- sticks and orders ---------------------------------------------------------------------------------------


def test_the_book_s_own_takes_are_counted(shown_demo: Context) -> None:
    """Bark grafts by hand from the list: what took, and what did not; what waits counts for neither."""
    with shown_demo.book.read() as reader:
        rows = reader.rows(
            "SELECT n.word FROM graft g JOIN graft_now n ON n.graft = g.thing WHERE g.current AND NOT g.withdrawn "
            "AND g.method IN ('bark graft', 'rind graft', 'crown graft', 'bark inlay')"
        )
    words = [w for (w,) in rows]
    took, lost = own_grafts(shown_demo, "bark_graft")
    assert (took, lost) == (words.count("took"), words.count("did not take"))
    found = ask_sticks(
        shown_demo, shown_demo.settings, {"grafts": "2", "method": "bark graft", "buds_per_stick": "6"}
    )  # fmt: skip
    # prior 0.8 worth five
    assert found.take.weight == 5 + took + lost
    assert found.take.mean == pytest.approx((4 + took) / (5 + took + lost))
    alone = ask_sticks(None, shown_demo.settings, {"grafts": "2", "method": "bark graft", "buds_per_stick": "6"})
    assert (alone.take.mean, alone.take.weight, alone.take.status) == (0.8, 5.0, "assumption")


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"grafts": "2", "take": "0.6"},
            "The number of good buds on a stick is missing.\nGiven: (nothing)\nAllowed: 1 to 100\n"
            "Next: Count it, and type it.",
        ),
        (
            {"grafts": "2", "buds_per_stick": "4"},
            "Neither the take nor a method is named.\nGiven: (nothing)\n"
            "Allowed: a share such as 0.6, or a method such as bark graft\n"
            "Next: Type the share you expect to take, or the method: its take is looked up then.",
        ),
        (
            {"grafts": "2", "buds_per_stick": "4", "take": "0"},
            "If none takes, no number of sticks is enough.\nGiven: 0\nAllowed: more than 0, at most 1\n"
            "Next: Type the share you expect to take.",
        ),
        (
            {"grafts": "2", "buds_per_stick": "4", "take": "0.6", "chance": "1"},
            "Nothing is quite sure.\nGiven: 1\nAllowed: more than 0 and less than 1, such as 0.95\n"
            "Next: Type the chance you want.",
        ),
        (
            {"grafts": "2", "buds_per_stick": "4", "method": "bark grift"},
            "No method of that name is known.\nGiven: bark grift\nAllowed: bark graft, bridge graft, side graft\n"
            "Next: Choose one of these, or type the take itself.",
        ),
    ],
)
def test_what_sticks_cannot_be_counted_from(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        ask_sticks(shown_demo, shown_demo.settings, fields)
    assert caught.value.message == message


def test_a_method_without_a_known_take_asks_for_one(shown_demo: Context) -> None:
    with pytest.raises(InputError) as caught:
        ask_sticks(shown_demo, shown_demo.settings, {"grafts": "2", "buds_per_stick": "4", "method": "side graft"})
    assert caught.value.problem == "No take of one's own hands is known for side graft."
    assert "bark graft" in caught.value.allowed


def test_an_order_for_the_weeks_that_worked_here(shown_demo: Context) -> None:
    found = ask_order(shown_demo, shown_demo.settings, {"tree": "T01", "method": "bark graft"})
    assert found.window_from == "weeks"
    assert found.years >= 4
    first_month = int(found.next.first[5:7])
    assert 8 <= first_month <= 10, "spring of the southern half"
    assert found.next.late and found.in_time is not None and not found.in_time.late


def test_a_window_that_has_passed_is_taken_again_next_year(shown_demo: Context) -> None:
    found = ask_order(shown_demo, shown_demo.settings, {"window": "2025-03"})
    assert found.next.first == "2026-03-01"


def test_no_window_is_told(shown_demo: Context) -> None:
    with pytest.raises(InputError) as caught:
        ask_order(shown_demo, shown_demo.settings, {})
    assert caught.value.message == (
        "The days on which it shall be grafted are missing.\nGiven: (nothing)\n"
        "Allowed: 2025-09, from 15 Sep 2025 to 20 Oct 2025, or a tree of the book\n"
        "Next: Type the window, or name a tree: the good weeks of its place are taken then."
    )
    with pytest.raises(InputError) as caught:
        ask_order(shown_demo, shown_demo.settings, {"window": "2025-09", "species": "gooseberry jam"})
    assert caught.value.problem == "It is not known what kind of wood that is."


# -- tables for others ---------------------------------------------------------------------------------------


def test_passports_have_the_standard_s_fields(shown_demo: Context) -> None:
    """Names of the 2015 descriptors (MCPD V.2.1), as listed in tests/published/mcpd_v2_1.toml."""
    published = tomllib.loads((PUBLISHED / "mcpd_v2_1.toml").read_text("utf-8"))
    text = passport.as_csv(passport.field_names(shown_demo), passport.passports(shown_demo))
    rows = list(csv.DictReader(io.StringIO(text)))
    assert set(rows[0]) == set(published["seen_2001"]) | set(published["recalled"])
    assert {r["ACCENUMB"] for r in rows} == {c.lot.code for c in wood.all_lots(shown_demo)}
    by_code = {r["ACCENUMB"]: r for r in rows}
    assert by_code["W01"]["COLLDATE"] == "20210920"
    assert by_code["W01"]["GENUS"] == "Citrus"
    assert by_code["W08"]["ACCENAME"] == "Granny Smith apple;Anna apple", "several parted by ; without a space"
    assert "came as 'Anna' apple" in by_code["W08"]["REMARKS"]
    assert by_code["W06"]["COLLSITE"] and not by_code["W06"]["DONORNAME"]
    assert by_code["W08"]["DONORNAME"] == "Exchange table"
    assert not any(r["DECLATITUDE"] for r in rows), "a passport does not tell strangers where the garden is"
    assert not any(r["OTHERNUMB"] for r in rows), "a photo of a slip is no number"


def test_the_place_is_told_only_if_asked_and_only_of_own_wood(shown_demo: Context) -> None:
    own, bought = passport.passports(shown_demo, ["W06", "W01"], place=True)
    assert (own["DECLATITUDE"], own["DECLONGITUDE"]) == ("-33.6000", "21.0000")
    assert not bought["DECLATITUDE"]


def test_a_certificate_s_number_has_its_own_field(demo: Context) -> None:
    wood.save_lot(demo, {"name": "Valencia", "cut": "2025-06-01", "code": "W20", "paper": "XYZ:1234"})
    row = passport.passports(demo, ["W20"])[0]
    assert row["OTHERNUMB"] == "XYZ:1234"
    assert (row["GENUS"], row["SPECIES"], row["CROPNAME"]) == ("Citrus", "× sinensis", "orange")


def test_chains_in_slash_notation(shown_demo: Context) -> None:
    rows = {columns["graft"]: (columns, slash_text(parts)) for columns, parts in passport.chains(shown_demo)}
    with shown_demo.book.read() as reader:
        assert len(rows) == len(reader.every(Graft))
    columns, chain = rows["G07-1"]
    assert columns["botanical_name"] == "Citrus reticulata 'Owari'"
    assert chain == "'Owari' satsuma/willow-leaf mandarin (naartjie)?/trifoliate orange?"
    assert set(columns) | {"chain"} == set(passport.CHAIN_COLUMNS)
    assert all(" / " not in chain for _, chain in rows.values())


# -- the long shot -------------------------------------------------------------------------------------------


def test_joins_of_a_chain_of_three(shown_demo: Context) -> None:
    found = chimera.ask_chimera(shown_demo, shown_demo.settings, {"tree": "T02"})
    pairs = {(j.upper, j.lower, j.place) for j in found.joins}
    assert ("willow-leaf mandarin (naartjie)", "trifoliate orange", "interstock") in pairs
    assert ("'Owari' satsuma", "willow-leaf mandarin (naartjie)", "graft") in pairs
    assert chimera.tree_joins(shown_demo, "T10") == (), "a cutting on its own roots has no join"


def test_odds_of_the_book_and_typed(shown_demo: Context) -> None:
    book = chimera.ask_chimera(shown_demo, shown_demo.settings, {}).odds
    assert book is not None and book.seen == 0 and book.unions > 30
    own = chimera.ask_chimera(None, shown_demo.settings, {"unions": "300", "seen": "1"})
    assert own.odds_from == "typed"
    assert own.odds is not None and own.odds.low < 1 / 300 < own.odds.high


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"of": "Owari", "with": "Owari satsuma"},
            "A graft chimera is of two kinds.\nGiven: 'Owari' satsuma\nAllowed: two kinds\nNext: Name another one.",
        ),
        (
            {"of": "Owari"},
            "Only one kind is named.\nGiven: Owari\nAllowed: two kinds\nNext: Name the other one.",
        ),
        (
            {"l1": "Owari", "l2": "Valencia"},
            "The kind of layer L3 is missing.\nGiven: Owari, Valencia\nAllowed: a kind for each of L1, L2 and L3\n"
            "Next: Name it, or name the two kinds only: all six arrangements are shown then.",
        ),
        (
            {"l1": "Owari", "l2": "Valencia", "l3": "Eureka"},
            "A graft chimera is of two kinds.\nGiven: 'Owari' satsuma, 'Valencia' orange, 'Eureka' lemon\n"
            "Allowed: two kinds in three layers\nNext: Name two kinds.",
        ),
        (
            {"unions": "3", "seen": "4"},
            "More chimeras were seen than unions watched.\nGiven: 4 of 3\nAllowed: 0 to 3\n"
            "Next: Correct one of the two.",
        ),
        (
            {"seen": "1"},
            "How many unions were watched is missing.\nGiven: 1 seen\nAllowed: 1 to 10000000\n"
            "Next: Count every union whose join was watched, also those without anything.",
        ),
    ],
)
def test_what_is_no_chimera(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        chimera.ask_chimera(shown_demo, shown_demo.settings, fields)
    assert caught.value.message == message


def test_an_unknown_kind_gets_the_nearest_three(shown_demo: Context) -> None:
    with pytest.raises(InputError) as caught:
        chimera.ask_chimera(shown_demo, shown_demo.settings, {"of": "Ovari", "with": "Valencia"})
    assert caught.value.problem == "No variety of that name is known."
    assert "'Owari' satsuma" in caught.value.allowed
