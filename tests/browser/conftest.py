"""A real browser on real pages: chromium against a server on loopback."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from barkslip.app.context import Context
from barkslip.app.settings import Settings
from barkslip.fieldbook.book import Book
from barkslip.web.server import create_app

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-quic",
]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 800}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder needs chromium; where it is missing the tests are skipped, and say so."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
            if CHROMIUM is None:
                item.add_marker(
                    pytest.mark.skip(reason="*** the package chromium is missing: browser test SKIPPED ***")
                )


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as p:
        b = p.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield b
        b.close()


@pytest.fixture(scope="module")
def address(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a server with a demo book that the tests of one file share."""
    folder = tmp_path_factory.mktemp("browser") / "garden"
    shutil.copytree(demo_folder, folder)
    ctx = Context(Book(folder), Settings(folder))
    sock = socket.socket()
    sock.bind(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(create_app(ctx), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
    thread.start()
    for _ in range(200):
        if server.started:
            break
        time.sleep(0.05)
    yield f"http://127.0.0.1:{sock.getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=10)
    ctx.book.close()


def _page(browser: Browser, address: str, size: dict[str, int], **more: object) -> Iterator[Page]:
    context = browser.new_context(viewport=size, base_url=address, **more)  # type: ignore[arg-type]
    page = context.new_page()
    said: list[str] = []
    # an answer such as 409 (a question) is meant, yet chromium notes every one of them
    page.on(
        "console",
        lambda m: (
            said.append(m.text)
            if m.type in ("error", "warning")
            and not m.text.startswith("Failed to load resource: the server responded with")
            else None
        ),
    )
    page.on("pageerror", lambda e: said.append(str(e)))
    foreign: list[str] = []
    page.on("request", lambda r: foreign.append(r.url) if not r.url.startswith((address, "data:", "blob:")) else None)
    yield page
    context.close()
    assert said == []
    assert foreign == []


@pytest.fixture
def phone(browser: Browser, address: str) -> Iterator[Page]:
    """A page as wide as a small phone; fails if the console complains or anything foreign is asked for."""
    yield from _page(browser, address, PHONE, has_touch=True)


@pytest.fixture
def desk(browser: Browser, address: str) -> Iterator[Page]:
    """A page on a desk."""
    yield from _page(browser, address, DESK)


@pytest.fixture
def plain(browser: Browser, address: str) -> Iterator[Page]:
    """A phone without scripts: everything must work."""
    yield from _page(browser, address, PHONE, java_script_enabled=False)
