"""The morning after, through the pages."""

from __future__ import annotations

from starlette.testclient import TestClient

NIGHT = {"tree": "T03", "date": "2025-07-01", "members": "60"}


def test_an_answer_is_kept_and_the_low_of_the_morning_set_beside_it(client: TestClient) -> None:
    kept = client.post("/night/keep", data=NIGHT)
    assert kept.status_code == 303
    assert kept.headers["location"].startswith("/night/scores?plot=LOW")
    page = client.get("/night/scores?plot=LOW")
    assert page.status_code == 200
    assert "No answer can be judged yet." in page.text
    found = client.get("/night/scores?plot=LOW&as=json").json()
    assert [s["day"] for s in found["scores"]] == ["2025-07-01"]
    early = client.post("/night/lows/new", data={"plot": "LOW", "date": "2025-07-01", "low": "-3.4"})
    assert early.status_code == 422
    assert "That night is not over." in early.text


def test_what_a_plot_differs_by_is_shown_with_its_nights(client: TestClient) -> None:
    offset = client.get("/night/scores?plot=LOW&as=json").json()["offset"]
    still = next(p for p in offset["parts"] if p["kind"] == "still")
    windy = next(p for p in offset["parts"] if p["kind"] == "windy")
    assert abs(still["mean_k"] + 2.6) < 0.3
    assert still["nights"] > 30
    assert abs(windy["mean_k"]) < 0.3
    assert "Still nights: 2.6" in client.get("/night/scores?plot=LOW").text


def test_today_has_tonight_once_it_has_been_worked_out(client: TestClient) -> None:
    assert "worked out on its own page" in client.get("/").text
    assert client.get("/night").status_code == 200
    assert "worked out on its own page" not in client.get("/").text
