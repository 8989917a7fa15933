"""How long pages take on a big book, beside a general SQLite web browser's row page on the same file.

    python benchmarks/pages.py [FOLDER]

Both servers run on loopback in processes of their own; requests go one after another over one connection, 60 for each
page after 5 to warm up. Times are seen from the client, so they are an upper bound of what the server takes.
"""

from __future__ import annotations

import http.client
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from big_book import make

ROUNDS, WARM = 60, 5
PAGES = {
    "Today": "/",
    "Walk-round, a stop in the middle": "/walk?at=3000",
    "Trees": "/trees",
    "A tree (20 grafts)": "/trees/T0250",
    "Grafts, page 100": "/grafts?page=100",
    "A graft (30 looks)": "/grafts/G0250-7",
    "Wood": "/wood",
    "A lot (160 grafts)": "/wood/W007",
    "Weather": "/weather",
    "A series (5 years)": "/weather/YARD",
    "Search": "/search?q=satsuma",
    "Form of a graft": "/grafts/new?tree=T0250",
    "The book": "/book",
}


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def wait(port: int, path: str) -> None:
    """Until a server answers."""
    for _ in range(200):
        try:
            c = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
            c.request("GET", path)
            c.getresponse().read()
            return
        except OSError:
            time.sleep(0.1)
    raise SystemExit("the server did not start")


def times(port: int, path: str) -> list[float]:
    """Milliseconds of each request."""
    c = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    out = []
    for i in range(ROUNDS + WARM):
        began = time.perf_counter()
        c.request("GET", path)
        answer = c.getresponse()
        answer.read()
        if answer.status != 200:
            raise SystemExit(f"{path}: {answer.status}")
        if i >= WARM:
            out.append(1000 * (time.perf_counter() - began))
    return sorted(out)


def row(name: str, found: list[float]) -> None:
    """One line of the table."""
    print(f"| {name} | {found[len(found) // 2]:.1f} | {found[int(0.95 * len(found))]:.1f} | {found[-1]:.1f} |")


def main() -> None:
    """Make or take a book, start both servers, print the table."""
    given = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    folder = given or Path(tempfile.mkdtemp()) / "big"
    if not (folder / "book.sqlite").exists():
        make(folder).book.close()
    print(f"file: {(folder / 'book.sqlite').stat().st_size / 1e6:.0f} MB\n")
    print("| page | median ms | p95 ms | slowest ms |\n|---|---|---|---|")
    port, other = free_port(), free_port()
    code = (
        "from pathlib import Path; from barkslip.app.settings import Settings; from barkslip.web.server import serve; "
        f"serve(Settings(Path({str(folder)!r}), port={port}), tell=lambda _: None)"
    )
    ours = subprocess.Popen([sys.executable, "-c", code])
    theirs = None
    try:
        wait(port, "/static/favicon.svg")
        # Today shows tonight's cold once it has been worked out; that happens once a day, beside the pages
        wait(port, "/night")
        for name, path in PAGES.items():
            row(name, times(port, path))
        if shutil.which("datasette") or (Path(sys.executable).parent / "datasette").exists():
            program = str(Path(sys.executable).parent / "datasette")
            theirs = subprocess.Popen(
                [program, "serve", str(folder / "book.sqlite"), "-p", str(other), "-h", "127.0.0.1"],
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )  # fmt: skip
            import sqlite3

            graft = (
                sqlite3.connect(folder / "book.sqlite")
                .execute("SELECT id FROM graft LIMIT 1 OFFSET 5000")
                .fetchone()[0]
            )
            wait(other, "/-/versions.json")
            row("general SQLite browser: row page of a graft", times(other, f"/book/graft/{graft}"))
        else:
            print("(datasette is not installed: pip install '.[bench]' for the comparison)")
    finally:
        for process in (ours, theirs):
            if process is not None:
                process.terminate()
                process.wait(timeout=20)


if __name__ == "__main__":
    main()
