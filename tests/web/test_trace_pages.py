"""The pages of a trace: question, answer, cards, cuts, wood given away and holds."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest
from starlette.testclient import TestClient

PAGES = (
    "/trace", "/trace?from=W08&why=wrong-name", "/trace?from=W03&agent=exocortis", "/trace?from=W05",
    "/trace?from=G11-3&agent=tristeza&backward=yes", "/trace?from=Grafting+knife&agent=cachexia",
    "/trace/agents/exocortis", "/trace/agents/blight", "/tools", "/tools/new", "/tools/new?tree=T01",
    "/holds/new", "/holds/new?lot=W12", "/wood/W08a/handouts/new", "/wood/W08a", "/grafts/G03-1", "/trees/T02",
)  # fmt: skip


class _Loose(HTMLParser):
    """Collects what the policy forbids, fields and their labels."""

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []
        self.labels: set[str] = set()
        self.fields: list[str] = []
        self.hrefs: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if "style" in given or tag == "style" or any(k.startswith("on") for k in given):
            self.bad.append(f"<{tag} {attrs}>")
        if tag == "label":
            self.labels.add(str(given.get("for")))
        if tag in ("input", "select", "textarea") and given.get("type") not in ("hidden", "checkbox", "radio"):
            self.fields.append(str(given.get("id")))
        if given.get("href"):
            self.hrefs.append(str(given["href"]))


@pytest.mark.parametrize("path", PAGES)
def test_page_is_whole(reader: TestClient, path: str) -> None:
    answer = reader.get(path)
    assert answer.status_code == 200
    page = _Loose()
    page.feed(answer.text)
    assert page.bad == []
    assert set(page.fields) <= page.labels
    assert answer.text.count("<h1") == 1
    for svg in re.findall(r"<svg.*?</svg>", answer.text, re.DOTALL):
        ET.fromstring(svg)


@pytest.mark.parametrize("path", PAGES[:6])
def test_no_link_is_dead(reader: TestClient, path: str) -> None:
    page = _Loose()
    page.feed(reader.get(path).text)
    for href in {h.split("#")[0] for h in page.hrefs if h.startswith("/")}:
        assert reader.get(href).status_code == 200, href


def test_no_disease_is_named_from_a_look_and_nobody_is_told_that_wood_may_move(reader: TestClient) -> None:
    for path in PAGES:
        text = reader.get(path).text
        assert not re.search(
            r"\blegal\b|is infected|has exocortis|has tristeza|may be moved freely", text, re.IGNORECASE
        )
    for path in PAGES[2:6]:
        assert "never give a disease verdict" in reader.get(path).text
        assert "Ask the plant-health authority" in reader.get(path).text


def test_alcohol_is_never_said_to_clean_a_knife(reader: TestClient) -> None:
    text = reader.get("/trace?from=W03&agent=exocortis").text
    assert "alcohol, wiped: recorded to fail; it counts for nothing" in text
    assert "Alcohol and flame failed" in text
    form = reader.get("/tools/new").text
    assert "Alcohol and flame failed" in form


def test_the_same_as_json(reader: TestClient) -> None:
    data = reader.get("/trace?from=W08&why=wrong-name&as=json").json()
    assert [r["id"] for r in data["reached"]] == ["G03-1", "G03-2", "W08a", "Exchange table", "Next door"]
    answer = reader.get("/trace?from=nope&as=json")
    assert (answer.status_code, answer.json()["error"]["problem"]) == (
        404, "No lot, graft, tree or tool of that name is in the book.",
    )  # fmt: skip
    assert len(reader.get("/trace?as=json").json()["agents"]) == 19


def test_an_error_brings_the_form_back_with_what_was_typed(reader: TestClient) -> None:
    answer = reader.get("/trace?from=nope&agent=exocortis")
    assert answer.status_code == 404
    assert 'value="nope"' in answer.text
    assert "No lot, graft, tree or tool of that name" in answer.text


def test_words_of_the_book_are_escaped(client: TestClient) -> None:
    client.post("/tools/new", data={"tool": "<b>saw</b>", "tree": "T01", "cleaned": "<i>alcohol</i>"})
    client.post("/wood/W12/handouts/new", data={"receiver": "<b>me</b>"})
    for path in ("/tools", "/trace", "/trace?from=W12&why=wrong-name", "/wood/W12", "/trace?from=T01&agent=exocortis"):
        text = client.get(path).text
        assert "<b>" not in text
        assert "<i>alcohol" not in text


def test_a_cut_is_written_corrected_and_taken_back(client: TestClient) -> None:
    answer = client.post("/tools/new", data={"tool": "Knife", "tree": "T01", "on": "2025-06-30", "cleaned": "alcohol"})
    assert answer.status_code == 303
    page = client.get(answer.headers["location"]).text
    assert "Written down: a cut with Knife, 30\u00a0Jun 2025." in page
    edit = re.search(r"/tools/([0-9a-f-]{36})/edit", page)
    assert edit
    form = client.get(edit[0]).text
    assert 'value="alcohol"' in form
    assert client.post(edit[0], data={"cleaned": "flame"}).status_code == 303
    assert "before it: flame" in client.get("/tools").text
    new = re.search(r"/tools/([0-9a-f-]{36})/edit", client.get("/tools").text)
    assert new
    assert client.post(f"/tools/{new[1]}/take-back", data={}).status_code == 303
    assert "flame" not in client.get("/tools").text.split("</header>")[1].replace("Alcohol and flame", "")


def test_wood_given_away_stands_on_its_lots_page(client: TestClient) -> None:
    answer = client.post("/wood/W12/handouts/new", data={"receiver": "Next door", "sticks": "1"})
    assert answer.headers["location"].startswith("/wood/W12?saved=handout.")
    page = client.get(answer.headers["location"]).text
    assert "Written down: wood of W12 given to Next door." in page
    assert "1 stick to Next door" in page
    line = re.search(r"/handouts/([0-9a-f-]{36})/edit", page)
    assert line
    assert client.post(f"/handouts/{line[1]}/edit", data={"sticks": "2"}).status_code == 303
    assert "2 sticks to Next door" in client.get("/wood/W12").text
    assert client.post("/wood/W05/handouts/new", data={"receiver": "X"}).status_code == 422


def test_holds_are_seen_where_it_matters_and_lifted(client: TestClient) -> None:
    things = {"things": "lot:W12, tree:T02", "why": "infection", "agent": "tristeza", "how": "Trace"}
    assert client.post("/holds/new", data=things).status_code == 303
    for path in ("/wood/W12", "/trees/T02"):
        text = client.get(path).text
        assert "Held since 30\u00a0Jun 2025 for an infection (tristeza): trace." in text
    assert "4 things held back" in client.get("/trace").text
    lift = re.search(r"/holds/[0-9a-f-]{36}/lift", client.get("/wood/W12").text)
    assert lift
    assert client.get(lift[0]).status_code == 200
    assert client.post(lift[0], data={"how": ""}).status_code == 422
    assert client.post(lift[0], data={"how": "test report"}).status_code == 303
    assert "Held since" not in client.get("/wood/W12").text


def test_held_wood_asks_before_it_is_given_away(client: TestClient) -> None:
    client.post("/holds/new", data={"lot": "W12", "why": "infection"})
    answer = client.post("/wood/W12/handouts/new", data={"receiver": "X"})
    assert answer.status_code == 409  # a question
    assert "This wood must stay where it is." in answer.text
    said = {"receiver": "X", "answer": "held-wood|lot|held-wood"}
    assert client.post("/wood/W12/handouts/new", data=said).status_code == 303
