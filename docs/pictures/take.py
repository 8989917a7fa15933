"""Takes the pictures of the pages anew, from the demo garden: python docs/pictures/take.py

Needs the package chromium and the test extra (playwright). Writes PNG files beside this script.
"""

from __future__ import annotations

import shutil
import socket
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

import uvicorn
from PIL import Image
from playwright.sync_api import sync_playwright

from barkslip.app.demo import make_demo
from barkslip.app.settings import Settings
from barkslip.web.server import create_app

HERE = Path(__file__).parent
#: Name -> address, width, height [px], pixels a CSS pixel.
PICTURES = {
    "today-360": ("/", 360, 740, 2),
    "walk-360": ("/walk", 360, 740, 2),
    "tree-1280": ("/trees/T02", 1280, 1000, 1),
}
#: Most that one picture may weigh [bytes].
MOST_BYTES = 150_000
_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
]


@contextmanager
def served() -> Iterator[str]:
    """Address of a demo garden served on this machine."""
    with tempfile.TemporaryDirectory() as folder:
        ctx = make_demo(Settings(Path(folder) / "garden"))
        sock = socket.socket()
        sock.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create_app(ctx), log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.05)
        yield f"http://127.0.0.1:{sock.getsockname()[1]}"
        server.should_exit = True
        thread.join(timeout=10)
        ctx.book.close()


def small(png: bytes) -> bytes:
    """The same picture in 200 colours: paper, ink and five hues with soft edges need no more."""
    with Image.open(BytesIO(png)) as picture:
        out = BytesIO()
        picture.convert("RGB").quantize(200, kmeans=2, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
        return out.getvalue()


def main() -> int:
    """Take all pictures; 1 if chromium is missing or a picture is too heavy."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("The package chromium is missing.\nNext: install it, then run this again.", file=sys.stderr)
        return 1
    heavy = 0
    with served() as address, sync_playwright() as p:
        browser = p.chromium.launch(executable_path=chromium, args=_FLAGS)
        for name, (path, width, height, scale) in PICTURES.items():
            size = {"width": width, "height": height}
            page = browser.new_page(viewport=size, device_scale_factor=scale, base_url=address)
            page.goto(path)
            page.evaluate("document.fonts.ready")
            data = small(page.screenshot())
            (HERE / f"{name}.png").write_bytes(data)
            heavy += len(data) > MOST_BYTES
            print(f"{name}.png  {len(data) / 1000:.0f} kB")
            page.close()
        browser.close()
    return 1 if heavy else 0


if __name__ == "__main__":
    raise SystemExit(main())
