"""A new grower's first minutes on a small phone, without scripts: an empty book, then plot to backup."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import uvicorn
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from barkslip.app.garden import new_book
from barkslip.app.settings import Settings
from barkslip.web.server import create_app

PHONE = {"width": 360, "height": 740}


@pytest.fixture
def new(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """A phone without scripts on an empty book."""
    place = {"name": "Behind the house", "lat": "-33.9", "lon": "18.5", "utc_offset_h": "2"}
    ctx = new_book(Settings(tmp_path / "garden"), place)
    sock = socket.socket()
    sock.bind(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(create_app(ctx), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.05)
    context = browser.new_context(
        viewport=PHONE, base_url=f"http://127.0.0.1:{sock.getsockname()[1]}", java_script_enabled=False
    )
    yield context.new_page()
    context.close()
    server.should_exit = True
    thread.join(timeout=10)
    ctx.book.close()


def _said(page: Page) -> str:
    return page.get_by_role("status").inner_text()


def _press(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name=name).first.click()


@pytest.mark.parametrize(
    ("path", "words", "step"),
    [
        ("/", "A new book. Begin with one tree.", "/trees/new"),
        ("/walk", "No graft to walk to yet.", "/grafts/new"),
        ("/trees", "No tree is written down yet.", "/trees/new"),
        ("/grafts", "No graft is set yet.", "/grafts/new"),
        ("/wood", "No wood is written down yet.", "/wood/new"),
        ("/weather", "No weather in the book yet.", "/weather/days/new"),
        ("/events", "Nothing written down yet.", "/events/new"),
        ("/grafts/new", "Set grafts", "/trees/new"),
        ("/acts/new", "Done at the garden", "/trees/new"),
    ],
)
def test_an_empty_page_says_what_to_do_next(new: Page, path: str, words: str, step: str) -> None:
    new.goto(path)
    expect(new.get_by_role("heading", level=1)).to_have_text(words)
    next_step = new.locator("main .button.main")
    expect(next_step).to_have_count(1)
    assert next_step.get_attribute("href") == step
    box = next_step.bounding_box()
    assert box is not None
    assert box["y"] + box["height"] < 740 - 76, "the next step is in sight, above the bar"


def test_required_fields_and_the_button_are_near(new: Page) -> None:
    """Whatever must be filled in stands on the first two screens of a phone; the rest is folded."""
    new.goto("/trees/new")
    assert new.evaluate("document.documentElement.scrollHeight") < 2 * 740
    new.get_by_label("Name").fill("Gate")
    _press(new, "Save")
    for path in ("/plots/new", "/trees/T01/limbs/new", "/wood/new", "/grafts/new", "/weather/days/new", "/events/new"):
        new.goto(path)
        assert new.evaluate("document.documentElement.scrollHeight") < 2 * 740, path
        lows = new.evaluate(
            """[...document.querySelectorAll('form [required]')].map(e => e.getBoundingClientRect().bottom)"""
        )
        assert max(lows, default=0) < 740, path


def test_from_plot_to_backup(new: Page) -> None:
    new.goto("/plots/new")
    new.get_by_label("Name").fill("Low field")
    _press(new, "Save")
    assert _said(new) == "Written down: plot P2 Low field."
    new.get_by_role("link", name="Add one").last.click()
    new.get_by_label("Name").fill("Gate")
    _press(new, "Save")
    assert _said(new) == "Written down: tree T01 Gate."
    new.get_by_role("link", name="Add a limb").first.click()
    new.get_by_label("NW", exact=True).check()
    _press(new, "Save")
    assert _said(new) == "Written down: limb NW-M of Gate."
    new.goto("/")
    new.locator("main .button.main").click()
    new.get_by_label("Variety").fill("Lisbon lemon")
    new.get_by_label("Cut on").fill("today")
    _press(new, "Save")
    new.get_by_role("link", name="Set a graft from it").click()
    new.get_by_label("NW-M").check()
    new.get_by_label("On each limb").fill("3")
    new.get_by_label("Method").fill("bark graft")
    _press(new, "Write them down")
    assert _said(new) == "Written down: 3 grafts of G01."
    _walk_work_photo(new)
    _lows_today_backup(new)


def _walk_work_photo(new: Page) -> None:
    new.goto("/walk")
    _press(new, "Swelling")
    assert _said(new) == "Written down: swelling (G01-1)."
    expect(new.locator("main")).to_contain_text("Stop 2 of 3")
    _press(new, "Take back")
    assert _said(new) == "Taken back: swelling (G01-1)."
    expect(new.locator("main")).to_contain_text("Stop 1 of 3")
    new.goto("/grafts/G01-1")
    new.get_by_role("link", name="Work done").click()
    new.get_by_label("What", exact=True).select_option("shade")
    _press(new, "Save")
    assert _said(new) == "Written down: shade put up (G01-1)."
    new.get_by_role("link", name="Photo").click()
    picture = BytesIO()
    Image.new("RGB", (400, 300), (60, 120, 70)).save(picture, "JPEG")
    new.locator("input[type=file]").set_input_files(
        {"name": "p.jpg", "mimeType": "image/jpeg", "buffer": picture.getvalue()}
    )
    _press(new, "Keep it")
    assert _said(new).startswith("Written down: a photo of ")


def _lows_today_backup(new: Page) -> None:
    new.goto("/weather/days/new")
    new.get_by_label("Plot").select_option("P2")
    new.locator("#f-low_2").fill("4")
    new.locator("#f-high_2").fill("22")
    _press(new, "Save")
    assert urlsplit(new.url).path == "/"
    assert _said(new).startswith("Written down: Low field, typed ")
    expect(new.locator("main")).to_contain_text("3 grafts wait for a verdict")
    new.goto("/book")
    _press(new, "Back up now")
    expect(new.get_by_role("heading", level=1)).to_have_text("Backed up.")
    _press(new, "Write everything out")
    expect(new.locator("main")).to_contain_text("Everything is written out")
