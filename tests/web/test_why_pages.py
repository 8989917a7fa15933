"""The page why it failed."""

from __future__ import annotations

from starlette.testclient import TestClient


def test_page_weighs_and_asks(reader: TestClient) -> None:
    page = reader.get("/why", params={"grafts": "G02-1", "union": "brown"}).text
    assert page.count('class="why-bar"') == 7
    assert "no verdict on a disease" in page
    assert '<option value="brown" selected>' in page
    assert 'action="/why/looks"' in page


def test_a_lost_graft_leads_to_it_and_a_living_one_does_not(reader: TestClient) -> None:
    assert 'href="/why?grafts=G02-1"' in reader.get("/grafts/G02-1").text
    assert "/why?" not in reader.get("/grafts/G01-1").text


def test_looks_and_cause_are_written_down(client: TestClient) -> None:
    done = client.post("/why/looks", data={"graft": "G02-1", "looks": "union=none"})
    assert done.status_code == 303
    assert done.headers["location"].startswith("/why?grafts=G02-1")
    found = client.post("/why/causes", data={"graft": "G02-1", "cause": "late_or_weak_wood", "how": "buds had moved"})
    assert found.status_code == 303
    page = client.get("/why?grafts=G02-2").text
    assert "Found out in this garden and counted: late or weak wood 1." in page


def test_bad_question_and_json(reader: TestClient) -> None:
    assert reader.get("/why", params={"grafts": "G02-1", "looks": "leaf=red"}).status_code == 422
    data = reader.get("/why", params={"grafts": "G02-1", "as": "json"}).json()
    assert data["grafts"][0]["graft"] == "G02-1"
    assert "Why it failed" in reader.get("/why").text
