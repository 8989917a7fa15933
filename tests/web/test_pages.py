"""Every page, as a page and as JSON."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest
from starlette.testclient import TestClient

PAGES = (
    "/", "/?on=2024-10-20", "/?on=2025-07-15", "/walk", "/walk?at=2", "/walk?at=999", "/trees", "/trees/T01",
    "/trees/t02", "/trees/T06", "/trees/T10", "/grafts", "/grafts?word=waiting", "/grafts?campaign=G14&page=1",
    "/grafts?plot=LOW", "/grafts/G01-1", "/grafts/G08-1", "/wood", "/wood/W08", "/weather", "/events",
    "/search?q=navel", "/know?q=vinyl", "/book",
)  # fmt: skip
FORMS = (
    "/trees/new", "/trees/T01/edit", "/trees/T01/limbs/new", "/trees/T02/links/new", "/wood/new", "/wood/W01/edit",
    "/wood/W01/finds/new", "/grafts/new", "/grafts/new?tree=T01", "/grafts/G01-1/edit", "/grafts/G01-1/looks/new",
    "/acts/new", "/acts/new?graft=G01-1", "/acts/new?tree=T01", "/acts/new?plot=LOW", "/events/new",
    "/photos/new?about=x", "/plots/new", "/plots/LOW/edit", "/garden/edit", "/weather/import", "/weather/days/new",
    "/weather/days/new?forecast=yes",
)  # fmt: skip


class _Loose(HTMLParser):
    """Collects what a strict policy forbids and what points elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []
        self.hrefs: list[str] = []
        self.labels: set[str] = set()
        self.inputs: list[dict[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if "style" in given or tag == "style" or any(k.startswith("on") for k in given):
            self.bad.append(f"<{tag} {attrs}>")
        if tag == "script" and not (given.get("src") or "").startswith("/static/"):
            self.bad.append(f"<{tag} {attrs}>")
        for name in ("href", "src", "action"):
            value = given.get(name)
            if value is not None:
                self.hrefs.append(value)
        if tag == "label" and given.get("for"):
            self.labels.add(str(given["for"]))
        if tag in ("input", "select", "textarea"):
            self.inputs.append(given)


@pytest.mark.parametrize("path", PAGES + FORMS)
def test_page_is_whole_and_keeps_the_policy(reader: TestClient, path: str) -> None:
    answer = reader.get(path)
    assert answer.status_code == 200
    assert "Invented demo garden" in answer.text
    page = _Loose()
    page.feed(answer.text)
    assert page.bad == []
    assert [h for h in page.hrefs if h.startswith(("http:", "https:", "//"))] == []
    for svg in re.findall(r"<svg.*?</svg>", answer.text, re.DOTALL):
        ET.fromstring(svg)


@pytest.mark.parametrize("path", FORMS)
def test_every_field_has_a_label(reader: TestClient, path: str) -> None:
    page = _Loose()
    page.feed(reader.get(path).text)
    for one in page.inputs:
        if one.get("type") in ("hidden", "radio", "checkbox", "submit", "search"):
            continue
        assert one.get("id") in page.labels or one.get("aria-label") or one.get("aria-labelledby"), one


def test_no_link_is_dead(reader: TestClient) -> None:
    seen: set[str] = set()
    for path in PAGES:
        page = _Loose()
        page.feed(reader.get(path).text)
        seen |= {h.split("#")[0] for h in page.hrefs if h.startswith("/")}
    posts = re.compile(r"/(looks|backup|check|export|take-back|limbs/new|links/new)$")
    dead = {}
    for href in sorted(h for h in seen if h and not posts.search(h)):
        status = reader.get(href).status_code
        if status != 200:
            dead[href] = status
    assert dead == {}


@pytest.mark.parametrize("path", [p for p in PAGES if "search" not in p])
def test_page_as_json(reader: TestClient, path: str) -> None:
    glue = "&" if "?" in path else "?"
    assert isinstance(reader.get(f"{path}{glue}as=json").json(), (dict, list))


def test_units_of_the_address_hold(reader: TestClient) -> None:
    metric = reader.get("/?as=json").json()["plots"][0]["last"][0]
    imperial = reader.get("/?as=json&units=us").json()["plots"][0]["last"][0]
    assert imperial["night_low_f"] == pytest.approx(metric["night_low_c"] * 1.8 + 32)
    assert "night_low_c" not in imperial


def test_unknown_things_are_told_plainly(reader: TestClient) -> None:
    answer = reader.get("/trees/T99?as=json")
    assert answer.status_code == 404
    assert answer.json()["error"]["problem"] == "There is no such tree in the book."
    assert reader.get("/nothing/here").status_code == 404
    assert reader.get("/?on=2024-13-45").status_code == 422


def test_the_api_is_described(reader: TestClient) -> None:
    paths = reader.get("/openapi.json").json()["paths"]
    assert "/grafts/{code}/looks" in paths
