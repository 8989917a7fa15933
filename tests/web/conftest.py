"""Clients of the pages."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from barkslip.app.context import Context
from barkslip.web.server import create_app

BASE = "http://127.0.0.1:8321"


@pytest.fixture
def client(demo: Context) -> Iterator[TestClient]:
    """Pages of a demo book of one's own."""
    with TestClient(create_app(demo), base_url=BASE, follow_redirects=False) as c:
        yield c


@pytest.fixture(scope="session")
def reader(shown_demo: Context) -> Iterator[TestClient]:
    """Pages of the demo book, for reading only."""
    with TestClient(create_app(shown_demo), base_url=BASE, follow_redirects=False) as c:
        yield c
