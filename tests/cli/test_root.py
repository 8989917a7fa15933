"""`barkslip root`: what it says, what it never says, what it writes down."""

from __future__ import annotations

import re
from itertools import product

import pytest

#: Words that would send somebody to the tree with a saw.
CUT = re.compile(r"\b(cut it|cut off|saw it|rub (it |them )?off|remove it|it is (the )?(root)?stock)\b", re.IGNORECASE)


def test_the_contract_of_the_command(run):
    data = run("root", "--look", "leaflets=3", "--look", "thorns=many", "--json").data
    assert [(b["stock"], b["p"]) for b in data["beliefs"][:3]] == [
        ("trifoliate orange", 0.6824),
        ("citrange or citrumelo", 0.184),
        ("citrandarin or another hybrid of trifoliate", 0.1211),
    ]
    assert all(b["low"] <= b["p"] <= b["high"] for b in data["beliefs"])
    assert sum(b["p"] for b in data["beliefs"]) == pytest.approx(1.0, abs=5e-4)
    bits = [n["bits"] for n in data["next_look"]]
    assert bits == sorted(bits, reverse=True)
    assert min(bits) >= 0.0
    assert {"leaflets", "thorns", "wing", "place"}.isdisjoint(n["look"] for n in data["next_look"])
    assert (data["tree"], data["signs"], data["link"]) == ("", [], None)


def weak_looks(thorns=("many", "few", "none"), size=("small", "usual")):
    for a, b in product((None, *thorns), (None, *size)):
        looks = ([f"thorns={a}"] if a else []) + ([f"size={b}"] if b else [])
        if looks:
            yield looks


@pytest.mark.parametrize("where", ["no tree", "a tree believed to be thorny"])
def test_thorns_or_vigour_alone_never_say_cut(run, book, where):
    tree = []
    if where != "no tree":
        said = run("tree", "link", "T02", "rootstock", "--is", "trifoliate orange=0.99", book=book)
        assert said.code == 0, said.err
        tree = ["--tree", "T02"]
    for looks in weak_looks():
        words = [w for look in looks for w in ("--look", look)]
        out = " ".join(run("root", *tree, *words).out.split())
        assert "Thorns and size alone settle nothing" in out, looks
        assert "Do not cut a shoot or a limb because of this answer." in out, looks
        assert not CUT.search(out), looks
        data = run("root", *tree, *words, "--json").data
        assert data["settled"] is False, looks
        if tree:
            assert "S-L-6 (L6): not proved, do not cut yet" in out, looks
            assert data["do_not_cut"] == ["S-L-6"]
        else:
            assert data["beliefs"][0]["p"] < 0.7, looks


def test_no_answer_at_all_says_cut(run):
    for looks in (["leaflets=3"], ["leaflets=3", "leaf_fall=drops", "thorns=many", "union=bench"]):
        out = " ".join(run("root", *[w for look in looks for w in ("--look", look)]).out.split())
        assert "Do not cut a shoot or a limb because of this answer." in out
        assert not CUT.search(out), looks


def test_looks_are_written_down_believed_and_taken_back(run, book):
    said = run("root", "--tree", "T02", "--saw", "leaflets=1", "--on", "2025-06-20", "--note", "two shoots", book=book)
    assert said.out.startswith("Written down at T02 Well: leaflets 1.\nT02 Well. Most likely rough lemon, 75 %;")
    assert "A shoot of the stock has single leaves, 20 Jun 2025; two shoots" in " ".join(said.out.split())
    data = run("root", "--tree", "T02", "--believe", "--json").data
    assert data["link"]["level"] == "rootstock"
    assert data["kept"] is True
    assert [len(run("root", "--tree", "T02", "--json").data[k]) for k in ("looks", "history")] == [1, 3]
    said = run("take-back", "sign", data["looks"][0]["sign"])
    assert said.out == f"Taken back: sign {data['looks'][0]['sign']}.\n"
    after = run("root", "--tree", "T02", "--json").data
    assert [b["p"] for b in after["beliefs"]] == [0.45, 0.35, 0.2]
    assert after["looks"] == []


def test_contradictions_are_said(run):
    out = " ".join(run("root", "--look", "leaflets=3", "--look", "leaflets=1").out.split())
    assert (
        "! Both were said: a shoot of the stock has single leaves / a shoot of the stock has leaves of three leaflets. "
        "One of them is a mistake, or two shoots were looked at. Each counts half."
    ) in out
    codes = run("root", "--look", "leaflets=3", "--look", "pinholes=yes", "--json").data["contradictions"]
    assert [(c["code"], c["looks"]) for c in codes] == [("hardly_together", ["leaflets=3", "pinholes=yes"])]


def test_a_look_that_is_not_known_is_refused(run):
    said = run("root", "--look", "thorn=many")
    assert said.code == 2
    assert said.err.endswith("Next: Did you mean thorns?\n")


def test_looks_to_be_kept_need_a_tree(run):
    said = run("root", "--saw", "leaflets=3")
    assert said.code == 2
    assert said.err.startswith("Which tree? Name it with --tree; looks without a tree are given with --look.")


def test_all_questions_are_listed(run):
    data = run("root", "--list", "--json").data
    assert [q["question"] for q in data["questions"]] == [
        "leaflets", "wing", "thorns", "leaf_fall", "union", "scaling", "pinholes", "fruit", "size", "lime", "salt",
        "freeze", "foot_rot", "decline", "place", "sold",
    ]  # fmt: skip
    assert "union=bulge_above" in run("root", "--list").out
