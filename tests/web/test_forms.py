"""Adding, correcting and being asked, through the forms."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

from httpx2 import Response
from starlette.testclient import TestClient


def place(answer: Response) -> str:
    """Where a form leads on to, without the note about what was written down."""
    return re.sub(r"[?&]saved=[^&#]*", "", answer.headers["location"])


def graft(client: TestClient, code: str) -> dict:
    return client.get(f"/grafts/{code}?as=json").json()


def test_a_look_takes_one_tap_and_goes_on_to_the_next_stop(client: TestClient) -> None:
    answer = client.post("/grafts/G14-5/looks", data={"state": "pushing", "on": "today", "next": "/walk?at=1"})
    assert (answer.status_code, place(answer)) == (303, "/walk?at=1")
    story = graft(client, "G14-5")
    assert story["looks"][0]["state"] == "pushing"
    assert story["card"]["standing"]["word"] == "took"


def test_next_never_leaves_the_app(client: TestClient) -> None:
    for bad in ("https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example"):
        answer = client.post("/grafts/G14-5/looks", data={"state": "unknown", "next": bad})
        assert place(answer) == "/"


def test_a_look_sent_three_times_stands_once(client: TestClient) -> None:
    look = {"id": "0190163d-8694-739b-aea5-966c26f8ad91", "state": "swelling", "on": "2025-06-30"}
    before = len(graft(client, "G14-5")["looks"])
    for _ in range(3):
        assert client.post("/grafts/G14-5/looks", data=look).status_code == 303
    assert len(graft(client, "G14-5")["looks"]) == before + 1


def test_a_look_as_json_for_the_phone(client: TestClient) -> None:
    answer = client.post(
        "/grafts/G14-5/looks",
        json={"state": "green", "on": "2025-06-30", "note": "Blättchen ok"},
        headers={"accept": "application/json"},
    )
    assert answer.status_code == 201
    assert answer.json()["state"] == "green and still"


def test_a_bad_look_comes_back_with_everything_typed(client: TestClient) -> None:
    answer = client.post("/grafts/G14-5/looks", data={"state": "happy", "note": "typed with care", "shoot": "12"})
    assert answer.status_code == 422
    assert "No such state of a graft." in answer.text
    assert "typed with care" in answer.text


def test_correcting_a_look_keeps_the_old_one(client: TestClient) -> None:
    look = graft(client, "G14-5")["looks"][0]
    answer = client.post(f"/looks/{look['id']}/edit", data={"state": "shrivelled", "corrects": look["id"]})
    assert answer.status_code == 303
    story = graft(client, "G14-5")
    assert story["looks"][0]["state"] == "shrivelled"
    assert story["looks"][0]["corrects"] == look["id"]
    assert any(v["old"]["id"] == look["id"] for v in story["past"])


def test_nearly_the_same_name_asks(client: TestClient) -> None:
    typed = {"name": "gate post", "plot": "YARD"}
    answer = client.post("/trees/new", data=typed)
    assert answer.status_code == 409
    assert "There is a tree called Gatepost already (T01). Is it the same one?" in answer.text
    same = client.post("/trees/new", data={**typed, "answer": "same-name|name|same:T01"})
    assert same.headers["location"] == "/trees/T01"
    other = client.post("/trees/new", data={**typed, "answer": "same-name|name|same-name"})
    assert place(other) == "/trees/T13"


def test_correcting_one_field_leaves_the_others_to_the_last_digit(client: TestClient) -> None:
    before = client.get("/trees/T01?as=json").json()["card"]["tree"]
    page = client.get("/trees/T01/edit?units=us").text
    assert page
    filled = {
        "name": "Gatepost", "plot": "YARD", "fruit": before["fruit"], "planted": before["planted"]["text"],
        "code": "T01", "walk_order": str(before["walk_order"]), "count": "1", "note": "a new note",
        "union": f"{before['union_mm'] / 10:g}" if before["union_mm"] else "",
        "bench": f"{before['bench_mm'] / 10:g}" if before["bench_mm"] else "",
        "height": f"{before['height_mm'] / 1000:g}", "spread": f"{before['spread_mm'] / 1000:g}",
    }  # fmt: skip
    assert client.post("/trees/T01/edit", data=filled).status_code == 303
    after = client.get("/trees/T01?as=json").json()["card"]["tree"]
    assert after["note"] == "a new note"
    assert after["corrects"] == before["id"]
    for key in ("height_mm", "spread_mm", "union_mm", "bench_mm", "planted", "plot", "fruit"):
        assert after[key] == before[key]


def test_two_who_correct_the_same_tree_do_not_overwrite_each_other(client: TestClient) -> None:
    old = client.get("/trees/T01?as=json").json()["card"]["tree"]["id"]
    assert client.post("/trees/T01/edit", data={"note": "mine", "corrects": old}).status_code == 303
    late = client.post("/trees/T01/edit", data={"note": "yours", "corrects": old})
    assert late.status_code == 409
    assert "Somebody corrected this meanwhile." in late.text
    assert "yours" in late.text
    assert client.get("/trees/T01?as=json").json()["card"]["tree"]["note"] == "mine"


def test_a_campaign_of_equal_grafts_in_one_form(client: TestClient) -> None:
    typed = {
        "tree": "T02", "limbs": "", "n": "3", "lot": "W12", "method": "bark graft", "set_on": "2025-06-20",
        "binding": "vinyl tape",
    }  # fmt: skip
    limbs = [c["limb"]["label"] or c["limb"]["bearing"] for c in client.get("/trees/T02?as=json").json()["limbs"]]
    assert limbs
    answer = client.post("/grafts/new", data=typed)
    assert answer.status_code == 303
    assert place(answer) == "/grafts?campaign=G15"
    cards = client.get("/grafts?campaign=G15&as=json").json()["grafts"]
    assert [c["graft"]["code"] for c in cards] == ["G15-1", "G15-2", "G15-3"]
    assert {c["standing"]["word"] for c in cards} == {"waiting"}


def test_beliefs_over_one_are_refused(client: TestClient) -> None:
    typed = {
        "level": "rootstock",
        "taxon_1": "rough lemon",
        "belief_1": "70",
        "taxon_2": "sour orange",
        "belief_2": "40 %",
    }
    answer = client.post("/trees/T01/links/new", data=typed)
    assert answer.status_code == 422
    assert "Beliefs add up to more than certainty." in answer.text
    assert "sour orange" in answer.text


def test_water_asks_which_gallon(client: TestClient) -> None:
    typed = {"tree": "T01", "kind": "water", "amount": "5 gal", "on": "2025-06-29"}
    answer = client.post("/acts/new", data=typed)
    assert answer.status_code == 409
    assert "Which gallon?" in answer.text
    assert client.post("/acts/new", data={**typed, "answer": "gallon|amount|US gal"}).status_code == 303
    act = client.get("/trees/T01?as=json").json()["acts"][0]
    assert abs(act["amount_l"] - 18.92705892) < 1e-9


def test_typed_days_ask_about_the_other_unit(client: TestClient) -> None:
    typed = {"plot": "YARD", "day_1": "2025-06-29", "low_1": "32", "high_1": "64"}
    answer = client.post("/weather/days/new", data=typed)
    assert answer.status_code == 409
    assert "32 is unusual in °C here. Is it °F?" in answer.text
    again = {**typed, "low_1": "32 °F", "high_1": "64 °F"}
    assert client.post("/weather/days/new", data=again).status_code == 303


def test_a_broken_line_is_named_and_the_file_need_not_be_sent_twice(client: TestClient, tmp_path: Path) -> None:
    lines = ["time,Temp (C)"] + [f"2024-07-0{d} {h:02d}:00,{h / 2}" for d in (1, 2) for h in range(24)]
    lines[7] = "2024-07-01 06:00,oops"
    answer = client.post(
        "/weather/import", data={"plot": "LOW"}, files={"file": ("probe.csv", BytesIO("\n".join(lines).encode()))}
    )
    assert answer.status_code == 422
    assert "oops" in answer.text
    assert "line 8" in answer.text.lower()
    held = answer.text.split('name="held" value="')[1].split('"')[0]
    kept = client.post(
        "/weather/import", data={"plot": "LOW", "held": held, "held_name": "probe.csv", "keep_rest": "1"}
    )
    assert kept.status_code == 303
    story = client.get(f"{place(kept)}?as=json").json()
    assert story["card"]["readings"] == 47
    assert len(story["card"]["info"]["broken"]) == 1


def test_a_photo_that_is_no_photo(client: TestClient) -> None:
    about = graft(client, "G01-1")["card"]["graft"]["thing"]
    answer = client.post(
        "/photos/new",
        data={"about": about, "on": "2025-06-29"},
        files={"file": ("p.jpg", BytesIO(b"no picture at all"))},
    )
    assert answer.status_code == 422
    assert graft(client, "G01-1")["photos"] == []


def test_a_photo_is_kept_without_its_place(client: TestClient) -> None:
    from PIL import Image

    picture = Image.new("RGB", (3000, 2000), (40, 120, 60))
    exif = Image.Exif()
    exif[0x8825] = {1: "S", 2: (33.0, 36.0, 0.0)}
    data = BytesIO()
    picture.save(data, "JPEG", exif=exif)
    about = graft(client, "G01-1")["card"]["graft"]["thing"]
    answer = client.post(
        "/photos/new", data={"about": about, "on": "2025-06-29"}, files={"file": ("p.jpg", BytesIO(data.getvalue()))}
    )
    assert place(answer) == "/grafts/G01-1"
    photo = graft(client, "G01-1")["photos"][0]
    kept = client.get(f"/photos/{photo['file']}")
    assert kept.status_code == 200
    with Image.open(BytesIO(kept.content)) as stored:
        assert max(stored.size) <= 2048
        assert not stored.getexif()
    assert client.get(f"/photos/thumbs/{photo['file']}").status_code == 200
    assert client.get("/photos/../book.sqlite").status_code == 404


def test_an_event_is_corrected_and_keeps_its_plots(client: TestClient) -> None:
    old = next(e for e in client.get("/events?as=json").json() if len(e["plots"]) > 0)
    page = client.get(f"/events/{old['id']}/edit")
    assert page.status_code == 200
    answer = client.post(f"/events/{old['id']}/edit", data={"text": "said better", "corrects": old["id"]})
    assert answer.status_code == 303
    new = next(e for e in client.get("/events?as=json").json() if e["thing"] == old["thing"])
    assert new["text"] == "said better"
    assert new["corrects"] == old["id"]
    for key in ("kind", "on", "plots", "tree", "figures"):
        assert new[key] == old[key]
