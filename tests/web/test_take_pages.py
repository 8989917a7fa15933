"""The page of takes: ranges beside counts, every grouping, without scripts and styles in its lines."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from barkslip.domain.take import BY


def test_the_page_says_what_the_command_says(reader: TestClient) -> None:
    page = reader.get("/takes")
    assert page.status_code == 200
    assert "<h1>No method can be called better yet.</h1>" in page.text
    assert "Fewer than 5 with a verdict: not compared." in page.text
    assert 'class="chart takes"' in page.text
    assert 'class="chart curves"' in page.text
    assert "What cannot be told apart" in page.text
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=", page.text)


def test_a_year_not_over_is_said_to_wait(reader: TestClient) -> None:
    text = reader.get("/takes?by=campaign&campaign=G14").text.replace("\u00a0", " ")
    assert "After a year not yet known of 16, the last on 6 Oct 2025." in text


@pytest.mark.parametrize("by", list(BY))
def test_every_grouping_has_a_page(reader: TestClient, by: str) -> None:
    page = reader.get(f"/takes?by={by}")
    assert page.status_code == 200
    assert f'<option value="{by}" selected>' in page.text


def test_the_same_as_json(reader: TestClient) -> None:
    data = reader.get("/takes?by=method&as=json").json()
    assert {g["group"] for g in data["groups"]} == {"bark graft", "T-bud", "chip bud", "cleft graft", "whip and tongue"}


def test_a_wrong_grouping_is_told(reader: TestClient) -> None:
    page = reader.get("/takes?by=moon")
    assert page.status_code == 422
    assert "Not one of the choices." in page.text
    assert 'name="by"' in page.text
    assert reader.get("/takes?by=moon&as=json").json()["error"]["given"] == "moon"


def test_the_list_of_pages_leads_there(reader: TestClient) -> None:
    assert 'href="/takes"' in reader.get("/search").text
