"""The pages of a cold night: answer, form, card and the morning after, asked of the demo garden's real model."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

#: A night that is typed whole, so that no forecast decides.
TYPED = {
    "tree": "T03", "date": "2025-07-01", "sunset_temp": "6", "low": "-3", "dew_point": "-4", "wind": "0.5",
    "cloud": "0", "members": "60",
}  # fmt: skip


class _Loose(HTMLParser):
    """Collects what the policy forbids, ids, labels and fields."""

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []
        self.ids: list[str] = []
        self.hrefs: list[str] = []
        self.labels: set[str] = set()
        self.fields: dict[str, str] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if "style" in given or tag == "style" or any(k.startswith("on") for k in given):
            self.bad.append(f"<{tag} {attrs}>")
        if given.get("id"):
            self.ids.append(str(given["id"]))
        if tag == "label":
            self.labels.add(str(given.get("for")))
        if given.get("href"):
            self.hrefs.append(str(given["href"]))
        if tag in ("input", "select") and given.get("type") != "hidden":
            self.fields[str(given.get("name"))] = str(given.get("id"))


def page_of(client: TestClient, path: str, status: int = 200) -> tuple[str, _Loose]:
    """A page that keeps the policy, its drawings well-formed, no id twice, each field with its label."""
    answer = client.get(path)
    assert answer.status_code == status
    page = _Loose()
    page.feed(answer.text)
    assert page.bad == []
    assert len(page.ids) == len(set(page.ids))
    assert set(page.fields.values()) <= page.labels
    assert answer.text.count("<h1") == 1
    for svg in re.findall(r"<svg.*?</svg>", answer.text, re.DOTALL):
        ET.fromstring(svg)
    return answer.text, page


def asked(**more: str) -> str:
    return f"/night?{urlencode(TYPED | more)}"


@pytest.fixture(scope="module")
def told(reader: TestClient) -> str:
    return page_of(reader, asked(cover="blanket", lamps="100W", bucket="19L@60C"))[0]


def test_the_answer_comes_in_the_order_in_which_it_is_needed(told: str) -> None:
    order = [
        "chance of harm.</h1>", "Coldest", 'class="do-now"', 'class="caution"', 'class="chart night"',
        "What each measure gains tonight", "What is not known", "Where this comes from", "Ask again",
    ]  # fmt: skip
    places = [told.index(words) for words in order]
    assert places == sorted(places)


def test_each_row_has_its_cautions_and_each_caution_its_words(told: str) -> None:
    named = set(re.findall(r'href="#(care-\w+)"', told))
    assert {"care-electric_outdoors", "care-lamp_fire", "care-no_flame", "care-scald"} <= named
    assert named <= set(re.findall(r'id="(care-\w+)"', told))
    box = told[told.index('class="caution"') : told.index("</div>", told.index('class="caution"'))]
    for words in ("RCD or GFCI", "carbon monoxide", "local electrical and fire codes"):
        assert words in box


def test_the_chart_has_a_form_for_the_phone_and_one_for_the_desk(told: str) -> None:
    boxes = re.findall(r'class="chart night"[^>]*viewBox="0 0 (\d+)', told)
    assert boxes == ["328", "620"]
    assert "These hours as a table" in told


def test_sources_are_one_tap_away(told: str) -> None:
    assert "Where harm starts, and who says so" in told
    assert "/know?q=critical+temperature" in told
    assert re.search(r"numbers [0-9a-f]{12}\.", told)


def test_the_form_keeps_what_was_typed_and_says_what_was_taken(told: str) -> None:
    assert 'name="low" value="-3"' in told
    assert 'name="lamps" value="100W"' in told
    assert re.search(r'<option value="T03" selected>', told)
    assert re.search(r"Taken: [\d.]+\u00a0m", told)


def test_the_card_has_the_same_verdict_in_big_type_and_no_form(reader: TestClient, told: str) -> None:
    path = asked(cover="blanket", lamps="100W", bucket="19L@60C").replace("/night?", "/night/card?")
    text, page = page_of(reader, path)
    head = re.search(r"<h1>(.*?)</h1>", told)
    assert head is not None
    assert f"<h1>{head[1]}</h1>" in text
    assert 'class="card"' in text
    assert page.fields == {}
    assert "Low read in the morning" in text


def test_the_same_answer_as_json(reader: TestClient) -> None:
    data = reader.get(asked(), headers={"accept": "application/json"}).json()
    assert {"organs", "series", "measures", "unknowns", "cautions", "knowledge_hash"} <= set(data)
    assert data["members"] == 60
    us = reader.get(asked(low="-3 °C", sunset_temp="6 °C", dew_point="-4 °C", units="us") + "&as=json").json()
    assert "low_f" in us["organs"][0]


def test_without_a_tree_all_plots_stand_in_one_line_each(reader: TestClient) -> None:
    text, page = page_of(reader, "/night?date=2025-07-01")
    for plot in ("House yard", "Wall court", "Pot bench", "Lower paddock"):
        assert f"<strong>{plot}</strong>" in text
    assert "tree" in page.fields
    assert sum(1 for href in page.hrefs if href.startswith(("/night?tree=", "/night?plot="))) == 4


@pytest.mark.parametrize(
    ("more", "status", "words"),
    [
        ({"low": "8"}, 422, "The low is above the air of the evening."),
        ({"lamps": "-5W"}, 422, "Not the power of lamps."),
        ({"cover": "blanket", "cover_height": "0.5 m"}, 422, "The cover is smaller than the tree."),
        ({"tree": "T99"}, 404, "T99"),
        ({"target": "200%"}, 422, "That number cannot be."),
        ({"date": "2025-13-45"}, 422, "Given"),
    ],
)
def test_what_cannot_be_comes_back_with_the_form(
    reader: TestClient, more: dict[str, str], status: int, words: str
) -> None:
    text, page = page_of(reader, asked(**more), status)
    assert words in text
    assert 'role="alert"' in text
    assert "low" in page.fields
    data = reader.get(asked(**more) + "&as=json")
    assert data.status_code == status
    assert data.json()["error"]["problem"]


def test_the_blamed_field_is_open_and_says_it(reader: TestClient) -> None:
    text, _ = page_of(reader, asked(lamps="-5W"), 422)
    fold = text[text.rindex("<details", 0, text.index('id="f-lamps"')) :]
    assert fold.startswith('<details class="fold" open>')
    assert 'id="f-lamps-bad"' in text


def test_a_question_is_answered_by_a_button_and_the_answer_follows(reader: TestClient) -> None:
    text, _ = page_of(reader, asked(sunset_temp="40"), 409)
    button = re.search(r'<button name="answer" value="([^"]+)">', text)
    assert button is not None
    again = page_of(reader, asked(sunset_temp="40", answer=button[1]))[0]
    assert 'name="sunset_temp" value="40 °F"' in again
    assert "chance of harm.</h1>" in again


def test_the_morning_after_says_to_wait(reader: TestClient) -> None:
    text, _ = page_of(reader, "/night/after?date=2024-07-20")
    assert "Leave the knife in the shed." in text
    assert "Do not prune and do not dig out" in text
    assert "common practice" in text
    data = reader.get("/night/after?date=2024-07-20&as=json").json()
    assert {"day", "air_low_c", "trees", "waits"} <= set(data)
    assert reader.get("/night/after?date=yesterday-ish").status_code == 422


def test_cold_nights_are_found_from_the_page_of_all_pages(reader: TestClient) -> None:
    assert 'href="/night"' in reader.get("/search").text
