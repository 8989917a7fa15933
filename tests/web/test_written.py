"""What was written down is said on the next page, with its way back."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

LOOK = {"state": "swelling", "on": "2025-06-30"}


def _said(html: str) -> str:
    found = re.search(r'<p role="status">(.*?)</p>', html)
    return found[1] if found else ""


def _back(html: str) -> str:
    found = re.search(r'<form method="post" action="([^"]+/take-back)"', html)
    return found[1] if found else ""


def _saved(client: TestClient, path: str, fields: dict[str, str]) -> tuple[str, str]:
    """Line on the page after sending a form, and its way back."""
    answer = client.post(path, data=fields)
    assert answer.status_code == 303
    html = client.get(answer.headers["location"]).text
    return _said(html), _back(html)


@pytest.mark.parametrize(
    ("path", "fields", "words", "undo"),
    [
        ("/grafts/G14-5/looks", LOOK | {"shoot": "4"}, "Written down: swelling, shoot 40\u00a0mm (G14-5).", "/looks/"),
        (
            "/acts/new",
            {"graft": "G14-5", "kind": "brace"},
            "Written down: shoot tied to a stake or splint (G14-5).",
            "/acts/",
        ),
        (
            "/acts/new",
            {"tree": "T02", "kind": "rub", "count": "3"},
            "Written down: stock shoots rubbed off, 3 (Well).",
            "/acts/",
        ),
        ("/acts/new", {"plot": "LOW", "kind": "shade"}, "Written down: shade put up (Lower paddock).", "/acts/"),
        (
            "/events/new",
            {"kind": "hail", "text": "Pea-sized."},
            "Written down: hail, 30\u00a0Jun 2025: Pea-sized.",
            "/events/",
        ),
        ("/plots/new", {"name": "Roof"}, "Written down: plot P5 Roof.", ""),
        ("/trees/new", {"name": "Stile", "plot": "LOW"}, "Written down: tree T13 Stile.", "/trees/T13/"),
        (
            "/trees/T10/limbs/new",
            {"bearing": "NW", "band": "M", "path": "1"},
            "Written down: limb NW-M-1 of Pot Meyer.",
            "/limbs/",
        ),
        (
            "/trees/T10/links/new",
            {"level": "own roots", "taxon_1": "lemon", "belief_1": "90"},
            "Corrected: what you believe about the own roots of Pot Meyer.",
            "",
        ),
        (
            "/wood/new",
            {"name": "Lisbon lemon", "cut": "today"},
            "Written down: wood lot W13 Lisbon lemon.",
            "/wood/W13/",
        ),
        (
            "/wood/W01/finds/new",
            {"found": "Washington navel", "how": "fruit"},
            "Written down: W01 found to be Washington navel.",
            "",
        ),
        (
            "/grafts/new",
            {"tree": "T02", "method": "cleft graft", "name": "unknown"},
            "Written down: graft G15-1.",
            "/grafts/G15-1/",
        ),
        (
            "/grafts/new",
            {"tree": "T02", "method": "cleft graft", "name": "unknown", "n": "3"},
            "Written down: 3 grafts of G15.",
            "",
        ),
    ],
)
def test_every_save_is_confirmed_and_what_stands_alone_can_be_taken_back(
    client: TestClient, path: str, fields: dict[str, str], words: str, undo: str
) -> None:
    said, back = _saved(client, path, fields)
    assert said == words
    assert back.startswith(undo) if undo else back == ""
    if back:
        answer = client.post(back, data={"next": "/walk?graft=G14-5"})
        assert answer.status_code == 303
        page = client.get(answer.headers["location"]).text
        assert _said(page) == words.replace("Written down", "Taken back")
        assert _back(page) == ""


def test_taking_a_look_back_on_the_walk_round_returns_to_its_graft(client: TestClient) -> None:
    before = len(client.get("/grafts/G14-5?as=json").json()["looks"])
    answer = client.post("/grafts/G14-5/looks", data=LOOK | {"next": "/walk?graft=G14-12"})
    page = client.get(answer.headers["location"]).text
    assert 'name="next" value="/walk?graft=G14-5"' in page
    gone = client.post(_back(page), data={"next": "/walk?graft=G14-5"})
    assert gone.headers["location"].startswith("/walk?graft=G14-5&saved=look.")
    assert len(client.get("/grafts/G14-5?as=json").json()["looks"]) == before


def test_a_correction_is_called_one(client: TestClient) -> None:
    look = client.get("/grafts/G14-5?as=json").json()["looks"][0]
    said, back = _saved(client, f"/looks/{look['id']}/edit", {"state": "pushing", "corrects": look["id"]})
    assert said == "Corrected: pushing, shoot 11\u00a0cm (G14-5)."
    assert back == ""


@pytest.mark.parametrize("mark", ["look.nonsense", "nothing", "garden.<script>", "look.", "book.0190"])
def test_a_made_up_note_says_nothing(reader: TestClient, mark: str) -> None:
    html = reader.get("/", params={"saved": mark}).text
    assert _said(html) == ""
    assert "<script>" not in html


def test_what_was_written_long_ago_is_not_confirmed_again(reader: TestClient) -> None:
    look = reader.get("/grafts/G01-1?as=json").json()["looks"][0]
    assert _said(reader.get("/", params={"saved": f"look.{look['id']}"}).text) == ""


def test_boxes_of_one_name_are_listed(client: TestClient) -> None:
    sent = {"tree": "T02", "limbs": ["N-M-1", "E-M-2"], "method": "cleft graft", "name": "unknown", "n": "2"}
    assert client.post("/grafts/new", data=sent).status_code == 303
    cards = client.get("/grafts?campaign=G15&as=json").json()["grafts"]
    assert sorted(c["address"] for c in cards) == ["E-M-2", "E-M-2", "N-M-1", "N-M-1"]


def test_a_taken_address_comes_back_to_its_parts(client: TestClient) -> None:
    answer = client.post("/trees/T02/limbs/new", data={"bearing": "N", "band": "M", "path": "1"})
    assert answer.status_code == 422
    assert answer.text.count("A limb with that address is on this tree already.") == 2
    assert 'name="bearing" value="N" checked' in answer.text


def test_everything_is_written_out_from_the_page(client: TestClient) -> None:
    answer = client.post("/book/export")
    assert answer.status_code == 200
    assert "Everything is written out: " in answer.text
    assert re.search(r"It lies in .*/exports/\d{4}-\d\d-\d\dT\d{6}", answer.text)


def test_names_of_the_garden_come_first(reader: TestClient) -> None:
    assert reader.get("/names?own=yes&q=gate").json()[0] == "Gatepost"
    assert "Gatepost" not in reader.get("/names?q=gate").json()
    assert "'Washington' navel orange" in reader.get("/names?q=washington").json()


def test_results_say_what_they_are_and_where_grafts_stand(reader: TestClient) -> None:
    html = reader.get("/search?q=navel").text
    assert "lot_find" not in html
    assert "wood_lot" not in html
    assert "Graft G04-1 · took" in html
    assert "Found to be W01" in html
