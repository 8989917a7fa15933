"""The pages of heat and covers: answer, form, cards and the logger beside the model, asked of the real model."""

from __future__ import annotations

import re
import time
import xml.etree.ElementTree as ET
from datetime import timedelta
from html.parser import HTMLParser
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

from barkslip.app import heat as use
from barkslip.app.context import Context

#: A day that is typed whole, so that no forecast decides.
TYPED = {
    "graft": "G14-10", "date": "2025-01-10", "air_max": "38", "air_min": "20", "rh_min": "20", "wind": "0.5",
    "cloud": "0", "members": "40", "now": "brown_bag",
}  # fmt: skip


class _Loose(HTMLParser):
    """Collects what the policy forbids, ids, labels and fields."""

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []
        self.ids: list[str] = []
        self.hrefs: list[str] = []
        self.labels: set[str] = set()
        self.fields: dict[str, list[str]] = {}

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
            self.fields.setdefault(str(given.get("name")), []).append(str(given.get("id")))


def page_of(client: TestClient, path: str, status: int = 200) -> tuple[str, _Loose]:
    """A page that keeps the policy, its drawings well-formed, no id twice, each field with its label."""
    answer = client.get(path)
    assert answer.status_code == status
    page = _Loose()
    page.feed(answer.text)
    assert page.bad == []
    assert len(page.ids) == len(set(page.ids))
    assert {one for ids in page.fields.values() for one in ids} <= page.labels
    assert answer.text.count("<h1") == 1
    for svg in re.findall(r"<svg.*?</svg>", answer.text, re.DOTALL):
        ET.fromstring(svg)
    return answer.text, page


def asked(**more: str) -> str:
    return f"/heat?{urlencode(TYPED | more)}"


@pytest.fixture(scope="module")
def told(reader: TestClient) -> str:
    return page_of(reader, asked())[0]


def test_the_answer_comes_in_the_order_in_which_it_is_needed(told: str) -> None:
    order = [
        "chance of harm.</h1>", "Hottest about", 'class="do-now by"', 'class="caution"', 'class="chart heat"',
        "What would change it", 'class="chart heat covers"', "Bark of the limb", "What is not known",
        "Where this comes from", "Ask again",
    ]  # fmt: skip
    places = [told.index(words) for words in order]
    assert places == sorted(places)


def test_the_cover_that_is_on_it_is_judged_and_another_put_forward(told: str) -> None:
    head = re.search(r"<h1>(.*?)</h1>", told)
    assert head is not None
    assert re.match(r"(Change to|No cover tried keeps)", head[1])
    assert "The brown paper bag off" in told
    assert "on it now" in told


def test_each_verdict_is_a_word_beside_its_mark(told: str) -> None:
    marks = re.findall(r'class="cm cm-(\w+)".*?</svg>([\w ]+)', told)
    assert {kind for kind, _ in marks} >= {"avoid"}
    said = {"choose": "choose", "bears": "bears it", "helps": "helps some", "avoid": "avoid"}
    for kind, words in marks:
        assert words.lower().startswith(said[kind])


def test_each_cover_has_its_cautions_and_each_caution_its_words(told: str) -> None:
    named = set(re.findall(r'href="#(care-\w+)"', told))
    assert {"care-foil_lines_glare", "care-sealed_plastic", "care-paint_water_based", "care-bag_nests"} <= named
    assert named <= set(re.findall(r'id="(care-\w+)"', told))
    box = told[told.index('class="caution"') : told.index("</div>", told.index('class="caution"'))]
    assert "work at dawn" in box
    assert "An estimate, no promise" in box


def test_charts_have_a_form_for_the_phone_and_one_for_the_desk_and_tables_behind(told: str) -> None:
    for klass, sizes in (("heat", ["328", "620"]), ("heat covers", ["328", "860"]), ("heat faces", ["328", "560"])):
        assert re.findall(rf'class="chart {klass}"[^>]*viewBox="0 0 (\d+)', told) == sizes
    for words in ("These hours as a table", "Covers as a table", "Sides as a table"):
        assert words in told


def test_sources_are_one_tap_away(told: str) -> None:
    assert "Where harm starts, and who says so" in told
    assert "bark loses its hold on water" in told
    assert re.search(r"numbers [0-9a-f]{12}\.", told)


def test_the_form_keeps_what_was_typed_and_says_what_was_taken(told: str) -> None:
    assert 'name="air_max" value="38"' in told
    assert 'name="graft" value="G14-10"' in told
    assert re.search(r'<option value="brown_bag" selected>', told)
    assert re.search(r"Taken: [\d.]+\u00a0mm", told)


def test_ticked_covers_are_laid_side_by_side(reader: TestClient) -> None:
    path = f"{asked()}&cover=film&cover=foil_sleeve"
    data = reader.get(f"{path}&as=json").json()
    assert {c["cover"] for c in data["covers"]} == {"film", "foil_sleeve", "brown_bag"}, "what is on it is added"
    text, _ = page_of(reader, path)
    assert len(re.findall(r'name="cover" value="\w+" checked', text)) == 2


def test_the_card_has_the_same_verdict_in_big_type_and_no_form(reader: TestClient, told: str) -> None:
    text, page = page_of(reader, asked().replace("/heat?", "/heat/card?"))
    head = re.search(r"<h1>(.*?)</h1>", told)
    assert head is not None
    assert f"<h1>{head[1]}</h1>" in text
    assert page.fields == {}
    assert "Highest read under the cover" in text


def test_the_same_answer_as_json(reader: TestClient) -> None:
    data = reader.get(asked(), headers={"accept": "application/json"}).json()
    assert {"covers", "faces", "lines", "unknowns", "cautions", "knowledge_hash"} <= set(data)
    assert data["members"] == 40
    us = reader.get(asked(air_max="38 °C", air_min="20 °C", units="us") + "&as=json").json()
    assert "scion_max_f" in us["covers"][0]
    assert "excess_over_air_f_difference" in us["covers"][0]


def test_without_a_graft_all_plots_stand_in_one_line_each(reader: TestClient) -> None:
    text, page = page_of(reader, "/heat?date=2025-01-15")
    for plot in ("House yard", "Wall court", "Pot bench", "Lower paddock"):
        assert f"<strong>{plot}</strong>" in text
    assert {"graft", "tree", "plot", "air_max", "cover"} <= set(page.fields)
    assert sum(1 for href in page.hrefs if href.startswith(("/heat?graft=", "/heat?plot="))) == 4
    assert len(reader.get("/heat?date=2025-01-15&as=json").json()["plots"]) == 4


def test_the_card_of_all_plots(reader: TestClient) -> None:
    text, page = page_of(reader, "/heat/card?date=2025-01-15")
    assert "15\u00a0Jan 2025" in text
    assert page.fields == {}
    assert "An estimate, no promise" in text


@pytest.mark.parametrize(
    ("more", "status", "words"),
    [
        ({"air_max": "12"}, 422, "air_m"),
        ({"cover": "tea cosy"}, 422, "Nothing is known of this cover for a graft."),
        ({"graft": "G99-99"}, 404, "G99-99"),
        ({"target": "200%"}, 422, "That number cannot be."),
        ({"date": "2025-13-45"}, 422, "Given"),
        ({"scion": "150 mm"}, 422, "thickness of the scion"),
        ({"wind": "-2"}, 422, "Given"),
    ],
)
def test_what_cannot_be_comes_back_with_the_form(
    reader: TestClient, more: dict[str, str], status: int, words: str
) -> None:
    text, page = page_of(reader, asked(**more), status)
    assert words in text
    assert 'role="alert"' in text
    assert "air_max" in page.fields
    data = reader.get(asked(**more) + "&as=json")
    assert data.status_code == status
    assert data.json()["error"]["problem"]


def test_a_question_is_answered_by_a_button_and_the_answer_follows(reader: TestClient) -> None:
    """0.3 for a humidity is asked about: per cent, or a share?"""
    text, _ = page_of(reader, asked(rh_min="0.3"), 409)
    button = re.search(r'<button name="answer" value="([^"]+)">', text)
    assert button is not None
    again = page_of(reader, asked(rh_min="0.3", answer=button[1]))[0]
    assert "chance of harm.</h1>" in again


def test_loggers_that_sat_under_covers_lead_to_their_comparison(reader: TestClient) -> None:
    text, page = page_of(reader, "/heat/check")
    assert "Logger D, foil sleeve" in text
    address = next(h for h in page.hrefs if h.startswith("/heat/check?logger=D&cover=foil+sleeve"))
    answer, _ = page_of(reader, address)
    assert "learned from 7 days of your own logger" in answer
    assert "Model after learning" in answer
    assert "In ice water logger D read +1.7 K: taken off." in answer
    assert re.findall(r'class="chart heat check"[^>]*viewBox="0 0 (\d+)', answer) == ["328", "620"]
    assert "These days as a table" in answer
    data = reader.get(f"{address}&as=json").json()
    assert len(data["days"]) == 7
    assert {"before_k", "after_k", "measured_k", "weight_left"} <= set(data)


def test_a_logger_that_was_never_under_a_cover_is_told_so(reader: TestClient) -> None:
    text, page = page_of(reader, "/heat/check?logger=A", 422)
    assert 'role="alert"' in text
    assert "logger" in page.fields
    assert reader.get("/heat/check?logger=Z").status_code == 404
    assert reader.get("/heat/check?logger=A&as=json").json()["error"]["problem"]


def test_heat_is_found_from_all_pages_and_from_a_graft(reader: TestClient) -> None:
    assert 'href="/heat"' in reader.get("/search").text
    assert 'href="/heat?graft=G14-10">Heat and covers for this graft</a>' in reader.get("/grafts/G14-10").text
    lost = reader.get("/grafts?word=did+not+take&as=json").json()["grafts"][0]["graft"]["code"]
    gone = reader.get(f"/grafts/{lost}")
    assert gone.status_code == 200
    assert "Heat and covers for this graft" not in gone.text


def test_today_speaks_of_plots_in_danger_only_and_never_waits(
    client: TestClient, demo: Context, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "Tomorrow's heat" not in client.get("/").text, "not worked out yet"
    tomorrow = demo.today(demo.garden()) + timedelta(days=1)
    mild = use.danger(demo, tomorrow)
    assert "Tomorrow's heat" not in client.get("/").text, "a cold month"
    hot = tuple(
        type(p)(**{**vars(p), "graft_code": "G14-10", "cover": "brown paper bag", "danger": "act", "chance": 0.9,
                   "better": "foil_sleeve"})
        if p.plot_code == "LOW"
        else p
        for p in mild
    )  # fmt: skip
    monkeypatch.setattr(use, "danger_kept", lambda ctx, day=None: hot)
    text = client.get("/").text
    part = text[text.index("Tomorrow's heat") :]
    assert "Change the cover: </span>" in part
    assert "foil sleeve would do" in part
    assert part.count('href="/heat?graft=G14-10&amp;date=2025-07-01"') == 1
    monkeypatch.undo()
    best = 9.0
    for _ in range(5):
        begun = time.perf_counter()
        use.danger_kept(demo, tomorrow)
        best = min(best, time.perf_counter() - begun)
    assert best < 0.02, "a look into what is kept takes no time"
