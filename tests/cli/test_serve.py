"""`barkslip serve` answers on this machine until it is stopped."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.mark.slow
def test_served_until_stopped(book: Path) -> None:
    port = _free_port()
    words = [sys.executable, "-c", "from barkslip.cli.main import run; run()", "serve", "--port", str(port)]
    with subprocess.Popen(
        words, env=os.environ | {"BARKSLIP_BOOK": str(book), "PYTHONUNBUFFERED": "1"}, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        try:
            assert process.stdout.readline() == f"Open http://127.0.0.1:{port}/   (stop with Ctrl-C)\n"
            page = _page(f"http://127.0.0.1:{port}/")
            assert "Quarrow Flat" in page
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(timeout=20)


def _page(address: str) -> str:
    until = time.monotonic() + 20
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                text: str = answer.read().decode("utf-8")
                return text
        except urllib.error.URLError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
