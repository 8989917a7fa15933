"""The pages of days to graft: answer, form, card, own takes and the clock of a graft, asked of the real model."""

from __future__ import annotations

import re
import time
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

from barkslip.app import graft_clock
from barkslip.app.bark_tests import last_bark_test
from barkslip.app.context import Context
from barkslip.app.garden import new_book, save_plot
from barkslip.app.grafts import set_grafts
from barkslip.app.settings import Settings
from barkslip.app.trees import save_tree
from barkslip.web.server import create_app

BASE = "http://127.0.0.1:8321"

#: A fortnight that turns from fair to good.
TURNS = {"tree": "T01", "method": "bark_graft", "from": "2025-08-25", "bark": "lifts", "members": "60"}


class _Loose(HTMLParser):
    """Collects what the policy forbids, ids, labels, fields and what forms would send."""

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []
        self.ids: list[str] = []
        self.hrefs: list[str] = []
        self.labels: set[str] = set()
        self.fields: dict[str, list[str]] = {}
        self.posts: list[dict[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {k: v or "" for k, v in attrs}
        if "style" in given or tag == "style" or any(k.startswith("on") for k in given):
            self.bad.append(f"<{tag} {attrs}>")
        if given.get("id"):
            self.ids.append(given["id"])
        if tag == "label":
            self.labels.add(given.get("for", ""))
        if given.get("href"):
            self.hrefs.append(given["href"])
        if tag == "form" and given.get("method") == "post":
            self.posts.append({"action": given["action"]})
        if tag == "input" and given.get("type") == "hidden" and self.posts:
            self.posts[-1][given["name"]] = given.get("value", "")
        if tag in ("input", "select") and given.get("type") != "hidden":
            self.fields.setdefault(given.get("name", ""), []).append(given.get("id", ""))


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
    return f"/days?{urlencode(TURNS | more)}"


@pytest.fixture(scope="module")
def told(reader: TestClient) -> str:
    return page_of(reader, asked())[0]


# -- the answer -------------------------------------------------------------------------------------------------------


def test_the_answer_comes_in_the_order_in_which_it_is_needed(told: str) -> None:
    order = [
        "<h1>Wait until", "first water path", "The bark", 'class="caution"', "Card to take along",
        'class="chart ribbon"', "Why</h2>", "Day by day", 'class="chart clock"', "What is not known",
        'class="chart year"', "With care", "Where this comes from", "Ask again",
    ]  # fmt: skip
    places = [told.index(words) for words in order]
    assert places == sorted(places)


def test_the_ribbon_and_the_year_have_a_form_for_the_phone_and_one_for_the_desk(told: str) -> None:
    for klass, sizes in (("ribbon", ["328", "620"]), ("year", ["328", "1100"]), ("clock", ["400"])):
        assert re.findall(rf'class="chart {klass}"[^>]*viewBox="0 0 (\d+)', told) == sizes
    for words in ("Days as a table", "The year as a table", "The same week by week"):
        assert words in told


def test_every_sign_that_is_used_is_drawn_and_named(told: str) -> None:
    used = set(re.findall(r'href="#(d[sm]-\w+)"', told))
    assert used
    assert used <= set(re.findall(r'<symbol id="([\w-]+)"', told))
    key = told[told.index('class="ds-key"') : told.index("Bars on top")]
    assert {"good", "fair", "drying"} <= set(re.findall(r"</svg>([\w ]+)</span>", key))


def test_each_day_stands_in_the_table_that_is_a_list_on_a_phone(told: str) -> None:
    table = told.split("Day by day")[1].split("<table")[1].split("</table>")[0]
    assert len(re.findall(r'<tr class="(?:good|fair|poor|unknown)', table)) == 14
    assert '<tr class="from"><td colspan="9">From your own years</td>' in table
    assert table.count(" put") == 1
    assert table.count("<i>water lost </i>") == 14


def test_sources_are_one_tap_away(told: str) -> None:
    part = told[told.index("The healing curve, and who says so") :]
    assert "Fastest at: 28.0\u00a0°C (26.0 to 30.0\u00a0°C) (assumption, heal.S10)" in part
    assert re.search(r"heal\.S10: [A-Z]", part)


def test_the_words_are_the_command_s(reader: TestClient, told: str) -> None:
    data = reader.get(asked() + "&as=json").json()
    head = re.search(r"<h1>(.*?)</h1>", told)
    assert head is not None
    # the page knows which day is today, the data do not
    assert data["words"] == head[1].replace("\u00a0", " ")
    assert len(data["days"]) == 14
    assert {"healing_days", "heat_dose", "water_lost_pct", "frost_hours", "chance"} <= set(data["days"][0])


def test_the_form_keeps_what_was_typed_and_says_what_was_taken(told: str) -> None:
    assert re.search(r'<option value="T01" selected>', told)
    assert re.search(r'<option value="bark_graft" selected>bark graft', told)
    assert 'name="from" value="2025-08-25"' in told
    assert "Taken: 50\u00a0mm" in told
    assert "Taken: growing bud" in told


def test_what_is_not_known_is_an_answer(reader: TestClient) -> None:
    text, page = page_of(reader, "/days?tree=T01&species=jaboticaba")
    assert "<h1>Not known: nothing is written down of how jaboticaba heals.</h1>" in text
    assert 'class="chart ribbon"' not in text
    assert "species" in page.fields


def test_the_card_has_the_window_and_the_dates_and_no_form(reader: TestClient) -> None:
    text, page = page_of(reader, asked().replace("/days?", "/days/card?"))
    assert "<h1>Wait until" in text
    assert re.search(r"Good days: \d+", text)
    for words in ("First water path", "Binding may come off", "Set on, by whom", "An estimate, no promise."):
        assert words in text
    assert page.fields == {}
    assert page.posts == []


def test_the_weeks_one_by_one(reader: TestClient, told: str) -> None:
    address = re.search(r'href="(/days/weeks[^"]*)"', told)
    assert address is not None
    text, _ = page_of(reader, address[1].replace("&amp;", "&"))
    assert text.count('<th scope="row">from ') == 52
    assert "<h1>In most of 5 years it worked if set from" in text


def test_a_page_in_fahrenheit(reader: TestClient) -> None:
    text, _ = page_of(reader, asked(units="us", limb="2 in", scion="8 mm", days="3"))
    assert "Air, °F, low to high" in text
    assert "82.4\u00a0°F" in text


@pytest.mark.parametrize(
    ("more", "status", "words"),
    [
        ({"method": "magic"}, 422, "No method of that name is known."),
        ({"tree": "T99"}, 404, "T99"),
        ({"cover": "tea cosy"}, 422, "Nothing is known of this cover for a graft."),
        ({"bark": "peels"}, 422, "Not what a test of the bark can show."),
        ({"days": "400"}, 422, "Given"),
        ({"from": "2025-13-45"}, 422, "Given"),
        ({"bearing": "up"}, 422, "Given"),
    ],
)
def test_what_cannot_be_comes_back_with_the_form(
    reader: TestClient, more: dict[str, str], status: int, words: str
) -> None:
    text, page = page_of(reader, asked(**more), status)
    assert words in text
    assert 'role="alert"' in text
    assert "method" in page.fields
    data = reader.get(asked(**more) + "&as=json")
    assert data.status_code == status
    assert data.json()["error"]["problem"]
    assert reader.get(asked(**more).replace("/days?", "/days/card?")).status_code == status


def test_the_question_needs_one_thing_only(reader: TestClient) -> None:
    text, page = page_of(reader, "/days")
    assert "<h1>Days to graft</h1>" in text
    assert {"tree", "method", "species", "from", "buds", "bark", "cover", "limb", "days"} <= set(page.fields)
    assert "/days/clock?species=citrus" in page.hrefs
    assert page.posts == []


# -- the bark ---------------------------------------------------------------------------------------------------------


def test_one_tap_writes_a_test_of_the_bark_and_the_answer_goes_by_it(client: TestClient, demo: Context) -> None:
    path = "/days?tree=T01&method=bark_graft&years=no&members=40&days=3"
    text, page = page_of(client, path)
    assert "Not tested." in text
    taps = [p for p in page.posts if p["action"] == "/acts/new"]
    assert [p["detail"] for p in taps] == ["lifts", "tears", "sun side only"]
    assert {p["kind"] for p in taps} == {"bark test"}
    tap = taps[1]
    back = client.post(tap.pop("action"), data=tap, headers={"origin": str(client.base_url)})
    assert back.status_code == 303
    test = last_bark_test(demo, "T01")
    assert test is not None
    assert test.detail == "tears"
    after = client.get(back.headers["location"]).text
    assert "<h1>Not now: the bark tears." in after
    assert "Tested: bark tears." in after
    assert '<button class="main">Tears</button>' in after


def test_a_test_of_a_limb_is_of_the_limb(client: TestClient) -> None:
    _, page = page_of(client, "/days?tree=T01&limb=L3&method=bark_graft&years=no&members=40&days=2")
    assert {p["limb"] for p in page.posts if p["action"] == "/acts/new"} == {"L3"}
    _, sized = page_of(client, "/days?tree=T01&limb=62+mm&method=bark_graft&years=no&members=40&days=2")
    assert not [p for p in sized.posts if "limb" in p], "a size is no limb"


def test_what_was_typed_of_the_bark_does_not_outlive_a_test(client: TestClient) -> None:
    _, page = page_of(client, "/days?tree=T01&method=bark_graft&bark=tears&years=no&members=40&days=2")
    nexts = {p["next"] for p in page.posts if p["action"] == "/acts/new"}
    assert len(nexts) == 1
    assert "bark=" not in nexts.pop()


def test_a_day_to_come_has_no_buttons(told: str) -> None:
    assert 'value="bark test"' not in told


# -- clocks -----------------------------------------------------------------------------------------------------------


def test_a_graft_s_page_does_not_wait_for_its_clock(client: TestClient, demo: Context) -> None:
    client.get("/grafts/G14-5")
    begun = time.perf_counter()
    text, page = page_of(client, "/grafts/G14-5")
    assert time.perf_counter() - begun < 1.0
    assert "/grafts/G14-5/clock" in page.hrefs
    assert '<section id="clock" data-later>' in text, (
        "it waits for a verdict: the clock is fetched when the page stands"
    )
    full, _ = page_of(client, "/grafts/G14-5/clock")
    part = full[full.index('<section id="clock"') :]
    assert "By its clock" in part
    assert "seen by looking, never counted" in part
    kept, _ = page_of(client, "/grafts/G14-5")
    assert "By its clock" in kept
    assert "data-later" not in kept
    assert graft_clock.clock_kept(demo, "G14-5") is not None


def test_a_lost_graft_s_clock_is_worked_out_only_if_asked_for(reader: TestClient) -> None:
    lost = reader.get("/grafts?word=did+not+take&as=json").json()["grafts"][0]["graft"]["code"]
    assert "data-later" not in page_of(reader, f"/grafts/{lost}")[0]


def test_a_graft_without_weather_says_not_known_at_once(tmp_path: Path) -> None:
    """A book with one tree and one graft, and no weather at all."""
    ctx = new_book(Settings(tmp_path / "bare"), {"name": "Bare"})
    save_plot(ctx, {"name": "Field", "code": "F"})
    save_tree(ctx, {"name": "Lone", "plot": "F", "code": "T1", "fruit": "lemon"})
    set_grafts(ctx, {"tree": "T1", "name": "unknown", "method": "cleft graft", "set_on": "2024-04-10", "code": "B1",
                     "binding": "vinyl tape"})  # fmt: skip
    with TestClient(create_app(ctx), base_url=str(BASE), follow_redirects=False) as client:
        text, _ = page_of(client, "/grafts/B1")
        assert "Not known: there is no weather for its days." in text
        assert "The binding is off by 9\u00a0Jul 2024 at the latest" in text
        assert "data-later" not in text
        page_of(client, "/days?tree=T1&method=cleft", 422)
        page_of(client, "/days/clock?species=citrus")
    ctx.book.close()


def test_the_clock_as_data(reader: TestClient) -> None:
    data = reader.get("/grafts/G14-5/clock?as=json").json()
    assert data["graft"] == "G14-5"
    assert set(data["link_date"]) == {"p10", "p50", "p90"}
    assert reader.get("/grafts/G99-9/clock").status_code == 404


def test_own_takes_stand_beside_the_clock(reader: TestClient) -> None:
    _, page = page_of(reader, "/days/clock")
    assert {"/days/clock?species=citrus", "/days/clock?species=persimmon"} <= set(page.hrefs)
    answer, page = page_of(reader, "/days/clock?species=persimmon")
    head = re.search(r"<h1>(.*?)</h1>", answer)
    assert head is not None
    assert "8 grafts of persimmon, 4 took" in head[1]
    assert "/grafts/G02-1" in page.hrefs
    assert answer.count("did not take") >= 4
    data = reader.get("/days/clock?species=persimmon&as=json").json()
    assert (data["grafts"], data["took"], len(data["rows"])) == (8, 4, 8)
    few, _ = page_of(reader, "/days/clock?species=plum")
    assert "<h1>Too few to say: 3 grafts of plum" in few
    assert reader.get("/days/clock?species=jaboticaba").status_code == 422


# -- ways to it -------------------------------------------------------------------------------------------------------


def test_days_are_found_from_everywhere(reader: TestClient) -> None:
    assert '<a href="/days">Which of the coming days' in reader.get("/").text
    assert 'href="/days"' in reader.get("/search").text
    assert 'href="/days?tree=T01">Days to graft</a>' in reader.get("/trees/T01").text
