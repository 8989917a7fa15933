"""The page What it stands on: one question at a time, big answers, what is written down and taken back."""

from __future__ import annotations

import re

import pytest


def plain(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_one_question_at_a_time_with_drawings(reader):
    page = reader.get("/root").text
    assert page.count('class="root-answers"') == 1
    assert page.count('<svg class="rd"') == 4  # the four shapes of a union
    assert "What shape is the union?" in page
    assert "Cannot tell: ask something else" in page


def test_an_answer_without_a_tree_leads_on_and_writes_nothing(reader):
    page = reader.get("/root").text
    address = re.search(r'href="(/root\?looks=union%3Dbench)"', page)
    assert address is not None
    after = reader.get(address[1])
    assert after.status_code == 200
    assert "The stock is thicker than the top at the union (typed, not written down)" in after.text
    assert 'href="/root"' in after.text  # leave it out again


def test_a_question_passed_over_is_not_asked_again(reader):
    page = reader.get("/root?skip=union,leaflets").text
    question = re.search(r'<section class="no-print" id="question"><h2>([^<]+)', page)
    assert question is not None
    assert question[1] not in ("What shape is the union?", "How many leaflets has a leaf of a stock shoot?")


def test_a_question_may_be_chosen(reader):
    page = reader.get("/root?ask=place").text
    assert "A yard in Texas, planted before about 2000" in page
    assert reader.get("/root?ask=nothing").status_code == 200


def test_a_tap_writes_the_look_down_and_can_be_taken_back(client):
    page = client.get("/root?tree=T02&ask=leaflets").text
    assert 'action="/root/signs"' in page
    sent = client.post("/root/signs", data={"tree": "T02", "look": "leaflets=1"})
    assert sent.status_code == 303
    assert sent.headers["location"].startswith("/root?tree=T02&saved=sign.")
    after = client.get(sent.headers["location"]).text
    assert "Written down: leaflets: 1 (Well)." in plain(after)
    assert "Most likely rough lemon, 75" in plain(after).replace("\u00a0", " ")
    back = re.search(r'action="(/root/signs/[^"]+/take-back)"', after)
    assert back is not None
    assert client.post(back[1]).status_code == 303
    assert "Counted" not in client.get("/root?tree=T02").text


def test_the_belief_is_written_into_the_chain(client):
    client.post("/root/signs", data={"tree": "T02", "look": "union=bench"})
    assert "Write this into the chain of T02" in client.get("/root?tree=T02").text
    sent = client.post("/root/believe", data={"tree": "T02"})
    assert sent.status_code == 303
    after = client.get("/root?tree=T02").text
    assert "This is what the chain of T02 says now." in after
    assert "Write this into the chain" not in after
    assert "trifoliate orange 60" in plain(client.get("/trees/T02").text).replace("\u00a0", " ")


def test_an_unproved_limb_is_not_to_be_cut(reader):
    for address in ("/root?tree=T02", "/root?tree=T02&looks=thorns%3Dmany,size%3Dsmall"):
        text = plain(reader.get(address).text)
        assert "Do not cut a shoot or a limb because of this answer." in text
        assert "S-L-6 (L6): not proved, do not cut yet" in text


def test_thorns_alone_settle_nothing(reader):
    text = plain(reader.get("/root?looks=thorns%3Dmany").text)
    assert "Thorns and size alone settle nothing" in text
    assert "Not settled." in text
    assert reader.get("/root?looks=thorns%3Dmany&as=json").json()["settled"] is False


def test_the_page_as_data_is_the_command_s(reader):
    data = reader.get("/root?looks=leaflets%3D3,thorns%3Dmany&as=json").json()
    assert (data["beliefs"][0]["stock"], data["beliefs"][0]["p"]) == ("trifoliate orange", 0.6824)
    assert set(data["next_look"][0]) == {"look", "bits", "asked", "answers"}


@pytest.mark.parametrize(
    ("address", "status", "words"),
    [
        ("/root?tree=T99", 404, "T99"),
        ("/root?tree=T07", 422, "Looks are known for stocks of citrus only."),
        ("/root?looks=leaflets%3D7", 422, "Not an answer to that question."),
    ],
)
def test_what_cannot_be_answered_is_said(reader, address, status, words):
    answer = reader.get(address)
    assert answer.status_code == status
    assert words in answer.text
    assert reader.get(address + "&as=json").status_code == status


def test_a_wrong_look_sent_is_refused(client):
    assert client.post("/root/signs", data={"tree": "T02", "look": "leaflets=7"}).status_code == 422
    assert client.post("/root/signs", data={"look": "leaflets=3"}).status_code == 422
    assert client.post("/root/believe", data={"tree": "T02"}).status_code == 422


def test_a_citrus_tree_leads_there_and_an_apple_does_not(reader):
    assert "/root?tree=T02" in reader.get("/trees/T02").text
    assert "/root?tree=" not in reader.get("/trees/T07").text
