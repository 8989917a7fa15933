"""Pages of tastings: judged list, one juice, coded sheet, writing down and correcting."""

from __future__ import annotations

from starlette.testclient import TestClient

SAME = {"origin": "http://127.0.0.1:8321"}


def test_list(reader: TestClient) -> None:
    page = reader.get("/tasting").text
    assert "Washington navel: good, liking 7.4 of 9. Liking rising: 3.8, 5.9, 7.4." in page
    assert "Too early to judge Owari satsuma: first crop." in page
    assert "it says nothing about the name on the label" in page
    data = reader.get("/tasting?tree=T01&as=json").json()
    assert [t["verdict"] for t in data["varieties"][0]["tastings"]] == ["early", "early", "good"]


def test_one_juice(reader: TestClient) -> None:
    assert reader.get("/tasting/score").status_code == 200
    page = reader.get("/tasting/score?brix=10&acid=1.25&fruit=navel").text
    assert "Score 82.5, ratio 8.0: under the 90 that is asked of navels." in page
    bad = reader.get("/tasting/score?brix=50")
    assert bad.status_code == 422
    assert "No juice of fruit reads so high." in bad.text
    assert reader.get("/tasting/score?brix=11.8&acid=.95&as=json").json()["index_16_5"] == 132.0


def test_fahrenheit_is_asked_about(reader: TestClient) -> None:
    asked = reader.get("/tasting/score?brix=9&temp=60")
    assert asked.status_code == 409
    assert 'name="answer"' in asked.text
    answered = reader.get("/tasting/score", params={"brix": "9", "temp": "60", "answer": "unit|temp|60 °F"})
    assert answered.status_code == 200


def test_sheet(reader: TestClient) -> None:
    page = reader.get("/tasting/sheet", params={"samples": "own\nbought", "tasters": "3", "seed": "4"}).text
    assert page.count("<h2>Taster ") == 3
    assert "Key, kept from the tasters" in page


def test_write_and_correct(client: TestClient) -> None:
    made = client.post(
        "/tasting/new",
        data={"tree": "T03", "variety": "Owari satsuma", "campaign": "G01", "scores": "7 8", "fruit": "9", "crop": "2",
              "brix": "11", "acid": "0.8", "on": "2025-06-01"},
        headers=SAME,
    )  # fmt: skip
    assert made.status_code == 303
    row = client.get("/tasting?tree=T03&as=json").json()["varieties"][0]["tastings"][-1]
    assert row["verdict"] == "good"
    thing = row["tasting"]["thing"]
    form = client.get(f"/tasting/{thing}/edit")
    assert 'value="11"' in form.text
    bad = client.post(f"/tasting/{thing}/edit", data={"acid": "-2"}, headers=SAME)
    assert bad.status_code == 422
    assert "There is no acid below 0." in bad.text
