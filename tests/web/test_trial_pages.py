"""Pages of trials: list, one trial, plan, lot, reading, sheet, and how many are needed."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

SAME = {"origin": "http://127.0.0.1:8321"}


@pytest.mark.parametrize("code", ["E1", "E2", "E3", "E4", "E5"])
def test_pages_and_their_json(reader: TestClient, code: str) -> None:
    page = reader.get(f"/trials/{code}")
    assert page.status_code == 200
    assert 'class="chart trial-arms"' in page.text
    data = reader.get(f"/trials/{code}?as=json").json()
    assert data["trial"]["code"] == code
    assert data["words"] in page.text.replace("\u00a0", " ")


def test_list(reader: TestClient) -> None:
    page = reader.get("/trials")
    assert "Leaning to whole, not proved." in page.text
    assert len(reader.get("/trials?as=json").json()["trials"]) == 5


def test_a_trial_from_plan_to_result(client: TestClient) -> None:
    made = client.post(
        "/trials/new",
        data={"question": "Vinyl or rubber?", "arms": "vinyl\r\nrubber", "min_difference": "20 %", "power": "0.8"},
        headers=SAME,
    )
    assert made.status_code == 303
    where = made.headers["location"].split("?")[0]
    assert "Draw the lot" in client.get(where).text
    drawn = client.post(f"{where}/draw", data={"blocks": "T01 N x4\r\nT02 N x4"}, headers=SAME)
    assert drawn.headers["location"].split("?")[0] == f"{where}/sheet"
    sheet = client.get(f"{where}/sheet").text
    assert sheet.count('<th scope="row" class="nobreak">') == 8
    code = where.rsplit("/", 1)[1]
    done = client.post(f"{where}/readings/new", data={"unit": f"{code}-01", "value": "yes", "of": "took"}, headers=SAME)
    assert done.status_code == 303
    again = client.post(f"{where}/draw", data={"each": "3"}, headers=SAME)
    assert again.status_code == 409
    assert "A lot that is drawn until it pleases is none." in again.text
    edited = client.post(
        f"{where}/edit", data={"question": "Vinyl, or rubber?", "arms": "vinyl\r\nrubber"}, headers=SAME
    )
    assert edited.status_code == 303
    assert "Vinyl, or rubber?" in client.get(where).text
    assert client.get(f"{where}/sheet").text.count('<th scope="row" class="nobreak">') == 8


def test_what_is_wrong_stands_beside_the_field(client: TestClient) -> None:
    bad = client.post("/trials/new", data={"question": "One?", "arms": "only one"}, headers=SAME)
    assert bad.status_code == 422
    assert "A trial compares at least two ways." in bad.text
    assert "only one" in bad.text


def test_how_many_are_needed(reader: TestClient) -> None:
    assert reader.get("/trials/power").status_code == 200
    page = reader.get("/trials/power?a=60%25&b=90%25&n=12&stop_every=4")
    assert "36 in each arm are needed." in page.text
    assert "12 against 12 cannot decide" in page.text
    assert reader.get("/trials/power?a=.6&b=.9&as=json").json()["per_arm_fisher"] == 36
    assert reader.get("/trials/power?a=.6&b=.6").status_code == 422


def test_no_plan_no_sheet(reader: TestClient) -> None:
    assert reader.get("/trials/E3/sheet").status_code == 404
    assert reader.get("/trials/E99").status_code == 404
