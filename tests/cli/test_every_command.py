"""Each command in words and as JSON, on the demo garden."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

#: words typed, a piece of what must be said, the keys of the JSON document
READING = [
    (["today"], "11 things to do, 6 of them late.", {"today"}),
    (["walk"], "6 stops, in walking order.", {"on", "stops", "walk"}),
    (["walk", "--at", "2"], "Stop 2 of 6 · G14-14 on T05 Crossways", {"walk"}),
    (["walk", "--at", "G14-13"], "G14-13 on T05 Crossways", {"walk"}),
    (["tree", "list"], "on 'Flying Dragon'", {"trees"}),
    (["tree", "show", "T02"], "T02 · Well", {"tree"}),
    (["tree", "show", "gate post"], "T01 · Gatepost", {"tree"}),
    (["graft", "list", "--campaign", "G04"], "× took, then broken", {"total", "page", "size", "grafts"}),
    (["graft", "list", "--page", "2", "--size", "20"], "21 to 40 of 83; go on with --page 3",
     {"total", "page", "size", "grafts"}),
    (["graft", "show", "G04-3"], "'Washington' navel orange", {"graft"}),
    (["wood", "list"], "W12", {"lots"}),
    (["wood", "show", "W08"], "found to be 'Granny Smith' apple", {"lot", "moving"}),
    (["wood", "keep", "W09"], "W09 was thrown away.", {"keep"}),
    (["wood", "label", "W05"], "DO NOT MOVE: from inside a regulated area.", {"label"}),
    (["wood", "rule"], "national plant protection organisation", {"moving", "blades"}),
    (["event", "list", "--kind", "windy frost"], "windy frost", {"events"}),
    (["weather", "list"], "Lower paddock (LOW)", {"series"}),
    (["weather", "summary", "LOW"], "Sep 2024", {"summary"}),
    (["weather", "summary"], "House yard (YARD)", {"summary"}),
    (["plot", "list"], "Lower paddock", {"plots"}),
    (["garden", "show"], "33.60° south, 21.00° east", {"garden"}),
    (["find", "well"], "T02", {"text", "found"}),
    (["know", "bark graft"], "method", {"name", "found"}),
    (["book", "where"], "demo", {"folder", "exists"}),
    (["book", "state"], "83 grafts", {"book"}),
    (["book", "check"], "The book is sound.", {"sound", "righted", "findings"}),
    (["book", "restore", "--list"], "No backup has been made yet.", {"backups"}),
]  # fmt: skip
WRITING = [
    (["look", "G04-3", "pushing", "--shoot", "12cm"],
     "G04-3 'Washington' navel orange: pushing, shoot 12 cm, 30 Jun 2025. Verdict: took (since 5 Dec 2021).\n",
     {"look", "graft"}),
    (["act", "release", "--graft", "G14-13"],
     "G14-13 'Lisbon' lemon: binding cut or loosened, 30 Jun 2025.\n", {"act"}),
    (["act", "water", "--plot", "LOW", "--amount", "20L", "--on", "2025-06-29"],
     "LOW: watered, 20 L, 29 Jun 2025.\n", {"act"}),
    (["act", "wrap check", "--tree", "T01", "--limb", "NE-M-1"],
     "T01 NE-M-1: looked under the wrap for wet, mould and insects, 30 Jun 2025.\n", {"act"}),
    (["tree", "new", "Corner", "--plot", "YARD", "--height", "1.5"], "T13 Corner is in the book.", {"tree"}),
    (["tree", "edit", "T01", "--height", "2.6m"], "T01 Gatepost is corrected.", {"tree"}),
    (["tree", "limb", "new", "T04", "N-H-3", "--carries", "lemon"],
     "Limb N-H-3 (north, high, 3) is in the book: not proved: do not cut yet.\n", {"limb", "address"}),
    (["tree", "limb", "edit", "T01", "NE-M-1", "--proved", "yes"], "is corrected: proved.", {"limb", "address"}),
    (["tree", "link", "T02", "rootstock", "--is", "trifoliate orange=0.45:bench at union", "--is", "citrange=35%"],
     "rootstock, as believed on 30 Jun 2025: trifoliate orange 45 %, citrange 35 %, not known 20 %.\n", {"link"}),
    (["graft", "set", "T01", "--limbs", "NE-M-1", "--lot", "W12", "--method", "bark graft", "--n", "2"],
     "2 grafts written down, G15-1 to G15-2: bark graft, 30 Jun 2025.\n", {"grafts"}),
    (["graft", "edit", "G04-3", "--binding", "raffia"], "G04-3 is corrected: bark graft", {"graft"}),
    (["wood", "new", "Eureka lemon", "--cut", "2025-06-20", "--sticks", "3"],
     "W13 Eureka lemon is in the book: not known; cut 20 Jun 2025.\nDo not move this wood", {"lot"}),
    (["wood", "edit", "W12", "--storage", "fridge"], "W12 Lisbon lemon is corrected", {"lot"}),
    (["wood", "find", "W12", "Eureka lemon", "--how", "fruit"],
     "W12: 30 Jun 2025: found to be Eureka lemon, by fruit.", {"find"}),
    (["event", "new", "Ice on the trough.", "--kind", "still frost", "--plots", "LOW"],
     "30 Jun 2025: Still frost: Ice on the trough.\n", {"event"}),
    (["plot", "new", "Far corner", "--code", "FAR", "--still-offset-k", "-1.5"], "FAR Far corner is in", {"plot"}),
    (["plot", "edit", "LOW", "--note", "Cold."], "LOW Lower paddock is corrected.\n", {"plot"}),
    (["garden", "edit", "--water", "Borehole."], "Quarrow Flat is corrected.\n", {"garden"}),
    (["weather", "typed", "LOW", "--day", "2025-06-29", "1", "14"], "24 readings, 2025-06-29", {"series"}),
    (["take-back", "series", "Logger B, 2025"], "Taken back: series Logger B, 2025.\n", {"taken_back", "kind"}),
    (["book", "backup"], "Backed up and checked:", {"backup", "size_bytes"}),
    (["book", "check", "--repair"], "Put right: 0.\nThe book is sound.\n", {"sound", "righted", "findings"}),
]  # fmt: skip


def _name(value: object) -> str:
    return " ".join(value) if isinstance(value, list) else ""


@pytest.mark.parametrize(("words", "piece", "keys"), READING, ids=_name)
def test_reading_in_words_and_as_json(
    run: Any, demo_folder: Path, words: list[str], piece: str, keys: set[str]
) -> None:
    said = run(*words, book=demo_folder)
    assert (said.code, said.err) == (0, "")
    assert piece in said.out
    lines = [line for line in said.out.splitlines() if str(demo_folder) not in line]
    assert max(map(len, lines), default=0) <= 80
    assert not [line for line in lines if line.endswith(" ")]
    plain = run("--json", *words)
    assert (plain.code, plain.err, set(plain.data)) == (0, "", keys)


@pytest.mark.parametrize(("words", "piece", "keys"), WRITING, ids=_name)
def test_writing_in_words_and_as_json(run: Any, fresh: Any, words: list[str], piece: str, keys: set[str]) -> None:
    said = run(*words, book=fresh())
    assert (said.code, said.err) == (0, "")
    assert piece in said.out
    plain = run(*words, "--json", book=fresh())
    assert (plain.code, plain.err, set(plain.data)) == (0, "", keys)
    assert run("book", "check").out == "The book is sound.\n"


def test_common_options_stand_before_or_after(run: Any, demo_folder: Path) -> None:
    before = run("--book", demo_folder, "--json", "--units", "us", "graft", "show", "G04-3")
    after = run("graft", "show", "G04-3", "--units", "us", "--json", "--book", demo_folder)
    between = run("graft", "--json", "show", "--units", "us", "G04-3", "--book", demo_folder)
    assert before.code == after.code == between.code == 0
    assert before.out == after.out == between.out


def test_a_line_sent_twice_is_one_line(run: Any, book: Path) -> None:
    number = "0190163d-8694-739b-aea5-966c26f8ad91"
    first = run("look", "G04-3", "pushing", "--id", number, "--json", book=book).data
    again = run("look", "G04-3", "pushing", "--id", number, "--json", book=book).data
    assert first == again
    assert first["look"]["id"] == number
    looks = run("graft", "show", "G04-3", "--json").data["graft"]["looks"]
    assert [look["id"] for look in looks].count(number) == 1


def test_a_look_is_corrected_by_its_number_and_kept(run: Any, book: Path) -> None:
    wrong = run("look", "G04-3", "broken", "--shoot", "12cm", "--json", book=book).data["look"]
    said = run("look", "--correct", wrong["id"], "pushing")
    assert said.out == (
        "G04-3 'Washington' navel orange: pushing, shoot 12 cm, 30 Jun 2025. Verdict: took (since 5 Dec 2021).\n"
        "The look as it was stays in the book.\n"
    )
    past = run("graft", "show", "G04-3", "--json").data["graft"]["past"]
    assert [(p["old"]["id"], p["old"]["state"]) for p in past] == [(wrong["id"], "broken")]


def test_states_of_two_words_need_no_quotes(run: Any, book: Path) -> None:
    said = run("look", "G04-3", "green", "and", "still", "--json", book=book)
    assert said.data["look"]["state"] == "green and still"


def test_a_belief_of_a_limb_stands_beside_the_trees(run: Any, book: Path) -> None:
    run("tree", "link", "T01", "framework", "--limb", "NE-M-1", "--is", "sour orange", book=book)
    links = run("tree", "show", "T01", "--json").data["tree"]["links"]
    mine = [k for k in links if k["level"] == "framework" and k["limb"]]
    assert [c["belief_share"] for k in mine for c in k["candidates"]] == [1.0]


def test_what_is_typed_empty_is_emptied_and_what_is_not_typed_stays(run: Any, book: Path) -> None:
    was = run("tree", "show", "T01", "--json", book=book).data["tree"]["card"]["tree"]
    assert was["note"]
    now = run("tree", "edit", "T01", "--note", "", "--json").data["tree"]
    assert now["note"] == ""
    assert now["union_mm"] == was["union_mm"]


def test_a_graft_taken_back_is_gone_from_lists_and_stays_in_the_book(run: Any, book: Path) -> None:
    run("graft", "set", "T01", "--name", "unknown", "--method", "chip bud", "--code", "X1", book=book)
    lines = run("book", "state", "--json").data["book"]["lines"]
    assert run("take-back", "graft", "X1").code == 0
    assert run("graft", "show", "X1").code == 3
    assert run("book", "state", "--json").data["book"]["lines"] == lines + 1
    assert run("book", "check").out == "The book is sound.\n"


def test_taking_back_what_others_lean_on_is_refused(run: Any, book: Path) -> None:
    said = run("take-back", "lot", "W12", book=book)
    assert said.code == 2
    assert said.err == (
        "Others lean on this, so it cannot be taken back.\n"
        "Given: 16 grafts\n"
        "Allowed: things that nothing else names\n"
        "Next: Correct it instead, or take those back first.\n"
        "Answer with:\n"
        "  (write nothing)  leave it as it is\n"
    )


def test_each_kind_of_thing_can_be_taken_back(run: Any, book: Path) -> None:
    look = run("look", "G04-3", "pushing", "--json", book=book).data["look"]["id"]
    act = run("act", "feed", "--tree", "T01", "--json").data["act"]["id"]
    event = run("event", "new", "Nothing.", "--json").data["event"]["id"]
    run("plot", "new", "Far corner", "--code", "FAR")
    run("tree", "new", "Corner", "--plot", "FAR")
    run("tree", "limb", "new", "T13", "N-M")
    run("tree", "link", "T13", "own roots", "--is", "fig")
    run("wood", "new", "fig", "--cut", "2025-06-01", "--code", "W99")
    for words in (
        ["look", look], ["act", act], ["event", event], ["limb", "T13", "N-M"], ["link", "T13", "own", "roots"],
        ["tree", "T13"], ["plot", "FAR"], ["lot", "W99"], ["series", "Logger B, 2025"],
    ):  # fmt: skip
        said = run("take-back", *words)
        assert said.out == f"Taken back: {' '.join(words)}.\n", said.err
    assert run("book", "check").out == "The book is sound.\n"


def test_json_has_nothing_that_is_no_json(run: Any, demo_folder: Path) -> None:
    said = run("tree", "show", "T03", "--json", book=demo_folder)
    assert "NaN" not in said.out
    assert json.loads(said.out, parse_constant=lambda name: pytest.fail(name))


def test_today_on_another_day(run: Any, demo_folder: Path) -> None:
    future = run("today", "--on", "2025-08-01", "--json", book=demo_folder).data["today"]
    past = run("today", "--on", "1 Nov 2024", "--json").data["today"]
    assert (future["on"], past["on"]) == ("2025-08-01", "2024-11-01")
