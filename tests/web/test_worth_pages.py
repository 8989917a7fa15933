"""The page of keep, rework or replace."""

from __future__ import annotations

import re

from starlette.testclient import TestClient


def test_page_answers_draws_and_asks(reader: TestClient) -> None:
    page = reader.get("/worth", params={"tree": "T01"}).text
    assert "<h1>Keep T01 Gatepost.</h1>" in page
    assert page.count('class="worth-mark') == 5
    assert page.count('class="worth-mark best"') == 1
    assert 'action="/worth"' in page
    assert 'name="score"' in page
    assert "Do not feed or water more" in page


def test_a_changed_number_moves_the_answer_without_scripts(reader: TestClient) -> None:
    first, moved = (
        re.findall(r'<td class="n">([-0-9.]+)</td>', reader.get("/worth", params={"tree": "T01", **more}).text)[0]
        for more in ({}, {"crop": "30%"})
    )
    assert float(moved) < float(first)
    assert 'value="30%"' in reader.get("/worth", params={"tree": "T01", "crop": "30%"}).text


def test_a_barred_way_is_said_in_words(reader: TestClient) -> None:
    page = reader.get("/worth", params={"tree": "T04", "to": "Eureka lemon"}).text
    assert "a trial limb first (barred)" in page
    assert "rework the whole tree (barred)" in page


def test_bad_number_keeps_the_form(reader: TestClient) -> None:
    answer = reader.get("/worth", params={"tree": "T01", "score": "12"})
    assert answer.status_code == 422
    assert 'value="12"' in answer.text
    assert "That number cannot be." in answer.text


def test_as_json_and_empty(reader: TestClient) -> None:
    data = reader.get("/worth", params={"tree": "T01", "as": "json"}).json()
    assert data["best"] == "keep"
    assert "Keep, rework or replace" in reader.get("/worth").text


def test_a_tree_leads_to_it(reader: TestClient) -> None:
    assert 'href="/worth?tree=T01"' in reader.get("/trees/T01").text
