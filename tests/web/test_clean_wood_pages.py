"""Pages of clean wood and of the long shot, on the demo garden."""

from __future__ import annotations

import csv
import io
import re

import pytest
from starlette.testclient import TestClient

PAGES = (
    "/wood", "/wood/W05", "/wood/W09", "/wood/sticks", "/wood/sticks?grafts=6&take=0.6&buds_per_stick=4",
    "/wood/sticks?grafts=2&method=bark+graft&buds_per_stick=6", "/wood/order", "/wood/order?window=2025-10&post=4",
    "/wood/rules", "/wood/rules/new", "/wood/W08/label", "/wood/W08/label?copies=6", "/chimera",
    "/chimera?of=Owari&with=Valencia", "/chimera?l1=Owari&l2=Robertson&l3=Robertson&tree=T02",
)  # fmt: skip


def plain(html: str) -> str:
    """Words of a page."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).replace("\u00a0", " ").split())


@pytest.mark.parametrize("address", PAGES)
def test_pages_are_whole(reader: TestClient, address: str) -> None:
    got = reader.get(address)
    assert got.status_code == 200
    html = got.text
    assert len(re.findall(r"<h1[ >]", html)) == 1
    assert " style=" not in html
    assert "<style" not in html
    assert "Invented demo garden." in html
    ids = re.findall(r' id="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    for tag in ("div", "section", "table", "ul", "details", "svg", "dl"):
        assert html.count(f"<{tag}") == html.count(f"</{tag}>"), tag


def test_the_refused_lot_is_seen_in_the_list_and_on_its_page(reader: TestClient) -> None:
    listed = plain(reader.get("/wood").text)
    assert listed.index("Refused") < listed.index("W05 · Thick-skinned local lemon")
    page = plain(reader.get("/wood/W05").text)
    for words in (
        "2 sticks, refused.", "Do not move it.", "It comes from inside a regulated area: it stays inside.",
        "W05 was refused: it is not kept, and nothing is set from it.", "national plant protection organisation",
    ):  # fmt: skip
        assert words in page


def test_sticks_as_the_command_says(reader: TestClient) -> None:
    address = "/wood/sticks?grafts=6&take=60%25&buds_per_stick=4&chance=0.95"
    assert "Ask for 4 sticks: 15 grafts set, at least 6 alive with a chance of 97 %." in plain(reader.get(address).text)
    data = reader.get(f"{address}&as=json").json()
    assert (data["sticks"], data["grafts_to_set"]) == (4, 15)
    assert data["with_doubt"]["sticks"] == 7


def test_what_is_wrong_stands_beside_what_was_typed(reader: TestClient) -> None:
    got = reader.get("/wood/sticks?grafts=6&take=0.6")
    assert got.status_code == 422
    page = plain(got.text)
    assert "The number of good buds on a stick is missing." in page
    assert 'value="0.6"' in got.text
    told = reader.get("/wood/order?as=json")
    assert told.status_code == got.status_code
    assert told.json()["error"]["field"] == "window"
    bad = reader.get("/chimera?of=Ovari&with=Valencia")
    assert bad.status_code == got.status_code
    assert "No variety of that name is known." in plain(bad.text)


def test_a_rule_is_written_shown_corrected_and_taken_back(client: TestClient) -> None:
    sent = {"area": "Upper valley <b>", "text": "Ask first.", "office": "Plant health office", "on": "2025-05-03"}
    got = client.post("/wood/rules/new", data=sent)
    assert got.status_code == 303
    assert got.headers["location"].startswith("/wood/rules?saved=rule.")
    shown = client.get(got.headers["location"]).text
    assert "Upper valley &lt;b&gt;: asked 3\u00a0May 2025 of Plant health office" in shown
    assert "Written down: the rule for Upper valley &lt;b&gt;, by Plant health office." in shown
    address = re.search(r'href="(/wood/rules/[0-9a-f-]+)/edit"', shown)
    assert address is not None
    for page in ("/wood/W01", "/wood/W05"):
        assert "Ask first." in client.get(page).text, "on every lot, with day and office"
    again = client.post(f"{address[1]}/edit", data=sent | {"text": "Never."})
    assert again.status_code == 303
    assert "Never." in client.get("/wood/W01").text
    back = re.search(r'href="(/wood/rules/[0-9a-f-]+)/edit"', client.get("/wood/rules").text)
    assert back is not None
    assert client.post(f"{back[1]}/take-back").status_code == 303
    assert "No rule is written down yet." in plain(client.get("/wood/rules").text)


def test_wood_in_store_says_how_long_it_keeps(client: TestClient) -> None:
    sent = {"name": "Valencia", "cut": "2025-06-20", "code": "W20", "storage": "Fridge, damp paper"}
    assert client.post("/wood/new", data=sent).status_code == 303
    words = "Use W20 by 20 Jul 2025 to be within every source; the longest runs to 19 Sep 2025."
    assert words in plain(client.get("/wood").text)
    page = plain(client.get("/wood/W20").text)
    assert words in page
    assert "Chance that more than half of the buds live, by judgement: 99 %." in page
    assert page.count("Half of the buds dead after") == 2, "own store and another"


def test_half_a_rule_comes_back_with_what_was_typed(client: TestClient) -> None:
    got = client.post("/wood/rules/new", data={"area": "A", "text": "No."})
    assert got.status_code == 422
    assert "The office that said so is missing." in got.text
    assert "No.</textarea>" in got.text


def test_labels_print_as_many_as_asked(reader: TestClient) -> None:
    assert reader.get("/wood/W08/label?copies=6").text.count('<section class="bag">') == 6
    assert reader.get("/wood/W08/label?copies=999").text.count('<section class="bag">') == 24
    assert reader.get("/wood/W08/label?copies=x").text.count('<section class="bag">') == 1
    page = reader.get("/wood/W05/label").text
    assert "DO NOT MOVE: from inside a regulated area." in page
    assert reader.get("/wood/W99/label").status_code == 404


def test_tables_for_others(reader: TestClient) -> None:
    got = reader.get("/wood/passport.csv")
    assert got.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(got.text)))
    assert {"ACCENUMB", "COLLDATE", "ACCENAME"} <= set(rows[0])
    one = list(csv.DictReader(io.StringIO(reader.get("/wood/W08/passport.csv").text)))
    assert [r["ACCENUMB"] for r in one] == ["W08"]
    chains = list(csv.DictReader(io.StringIO(reader.get("/wood/chains.csv").text)))
    assert next(r for r in chains if r["graft"] == "G07-1")["chain"].startswith("'Owari' satsuma/")


def test_the_drawing_says_in_words_what_it_shows(reader: TestClient) -> None:
    html = reader.get("/chimera?l1=Owari&l2=Robertson&l3=Robertson").text
    drawing = html[html.index('<svg class="chimera"') : html.index("</svg>", html.index('<svg class="chimera"'))]
    assert "L1: &#39;Owari&#39; satsuma." in drawing
    assert 'class="ch-dots"' in drawing, "layers are told by pattern"
    assert 'class="ch-lines"' in drawing


#: What no page, command or label says of wood and knives (in any place but the denial of it).
NEVER = re.compile(
    r"(fine|safe|free|allowed|permitted|ok) to (move|post|carry|send)|(may|can) be moved|is allowed|legal|"
    r"alcohol (cleans|works|kills|is enough)|flame (cleans|works|kills|is enough)|"
    r"(wipe|dip) (it |them )?(in|with) alcohol",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    "address", [*PAGES, *(f"/wood/W{n:02d}" for n in range(1, 13)), "/know?q=tools", "/know?q=move"]
)
def test_no_page_says_that_wood_may_move_or_that_alcohol_cleans(reader: TestClient, address: str) -> None:
    found = NEVER.search(plain(reader.get(address).text))
    assert found is None, found


def test_alcohol_stands_there_as_failing(reader: TestClient) -> None:
    html = reader.get("/wood/rules").text
    row = html[html.index("alcohol, burnt off or not") :]
    assert "<b>fails</b>" in row[: row.index("</tr>")]
    assert "Alcohol and flame failed against the exocortis viroid" in html
    assert "Never in one vessel with acid, vinegar, ammonia or alcohol" in html


def test_what_the_search_for_harm_would_find() -> None:
    for words in ("Fine to move this wood", "It may be moved", "alcohol cleans the knife", "legal here"):
        assert NEVER.search(words), words
