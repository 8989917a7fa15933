"""What it stands on, asked on a phone: big answers, nothing too wide, sound under axe, a sheet on paper."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

PATHS = (
    "/root", "/root?looks=leaflets%3D3,thorns%3Dmany", "/root?tree=T02", "/root?tree=T02&ask=union", "/root?ask=place",
    "/root?tree=T07",
)  # fmt: skip


def _serious(page: Page) -> list[str]:
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    return [
        f"{v['id']}: {n['html'][:100]}" for v in found if v["impact"] in ("serious", "critical") for n in v["nodes"]
    ]


@pytest.mark.parametrize("light", ["light", "dark"])
def test_pages_are_narrow_big_and_sound(phone: Page, light: str) -> None:
    phone.emulate_media(color_scheme=light)  # type: ignore[arg-type]
    for path in PATHS:
        phone.goto(path)
        phone.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        assert phone.evaluate("document.documentElement.scrollWidth") <= 360, path
        small = phone.evaluate(
            """() => [...document.querySelectorAll('main button, main .button, main select, .root-more a')]
               .filter(e => e.offsetParent !== null && e.getBoundingClientRect().height < 47.5).map(e => e.outerHTML)"""
        )
        assert small == [], path
        assert _serious(phone) == [], path


def test_a_look_is_one_tap_and_can_be_taken_back(phone: Page) -> None:
    phone.goto("/trees/T02")
    phone.get_by_role("link", name="What does it stand on?").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("What does Well stand on?")
    phone.goto("/root?tree=T02&ask=leaflets")
    phone.get_by_role("button", name="A shoot of the stock has single leaves").click()
    expect(phone.locator("main")).to_contain_text("Most likely rough lemon")
    expect(phone.locator("main")).to_contain_text("S-L-6 (L6): not proved, do not cut yet")
    phone.get_by_role("button", name=re.compile(r"^Take back\W+A shoot of the stock has single")).click()
    expect(phone.get_by_role("heading", name="Counted")).to_have_count(0)


def test_paper_has_a_sheet_of_what_is_to_be_looked_at(desk: Page) -> None:
    desk.goto("/root?tree=T02")
    expect(desk.locator(".root-sheet")).to_be_hidden()
    desk.emulate_media(media="print")
    expect(desk.locator(".root-sheet")).to_be_visible()
    expect(desk.locator("#question")).to_be_hidden()
    expect(desk.locator(".cut")).to_be_visible()
