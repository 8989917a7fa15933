"""Trials and tastings in a real browser: narrow, big targets, no complaint of axe, a sheet on paper."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

PATHS = (
    "/trials", "/trials/E1", "/trials/E2", "/trials/E4", "/trials/E5", "/trials/new", "/trials/E3/readings/new",
    "/trials/E3/edit", "/trials/power", "/trials/power?a=60%25&b=90%25&n=12&stop_every=4", "/trials/power?a=.5&b=.5",
    "/tasting", "/tasting/new", "/tasting/score", "/tasting/score?brix=11.8&acid=.95&fruit=navel",
    "/tasting/score?brix=50", "/tasting/sheet", "/tasting/sheet?samples=own%0Abought%0Athird&tasters=2&seed=5",
)  # fmt: skip


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_nothing_is_wider_than_the_screen(request: pytest.FixtureRequest, size: str) -> None:
    page: Page = request.getfixturevalue(size)
    wide = {}
    for path in PATHS:
        page.goto(path)
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > page.viewport_size["width"]:  # type: ignore[index]
            wide[path] = width
    assert wide == {}


@pytest.mark.slow
@pytest.mark.parametrize("light", ["light", "dark"])
def test_no_serious_complaint_of_axe(phone: Page, light: str) -> None:
    phone.emulate_media(color_scheme=light)  # type: ignore[arg-type]
    found = {}
    for path in PATHS:
        phone.goto(path)
        phone.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        assert phone.evaluate("document.documentElement.scrollWidth") <= 360, path
        violations = Axe().run(phone, options={"resultTypes": ["violations"]}).response["violations"]
        bad = [
            (v["id"], n["html"][:120]) for v in violations if v["impact"] in ("serious", "critical") for n in v["nodes"]
        ]
        if bad:
            found[path] = bad
    assert found == {}


def test_targets_are_big_enough_for_a_glove(phone: Page) -> None:
    for path in PATHS:
        phone.goto(path)
        small = phone.evaluate(
            """() => [...document.querySelectorAll('button, .button, select, input:not([type=hidden]), textarea')]
               .filter(e => e.offsetParent !== null && !e.classList.contains('unseen')
                            && !['radio', 'checkbox'].includes(e.type))
               .map(e => [e.outerHTML.slice(0, 90), e.getBoundingClientRect().height]).filter(([, h]) => h < 47.5)"""
        )
        assert small == [], path


def test_a_trial_by_thumb(phone: Page) -> None:
    phone.goto("/trials/new")
    phone.get_by_label("Question").fill("Vinyl or rubber?")
    phone.get_by_label("Ways to compare").fill("vinyl\nrubber")
    phone.get_by_label("Trees and sides, with places").fill("T01 N x2\nT02 N x2")
    phone.get_by_role("button", name="Save").last.click()
    assert phone.get_by_role("heading", level=1).inner_text() == "Nothing has been read yet."
    phone.get_by_role("link", name="Sheet to print").click()
    assert phone.locator(".lot-sheet tbody tr").count() == 4
    phone.emulate_media(media="print")
    assert phone.locator(".nav").is_hidden()
    assert phone.locator(".lot-sheet").first.is_visible()
