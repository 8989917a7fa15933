"""The gate: hosts, foreign writes, sizes, headers."""

from __future__ import annotations

import asyncio
import threading

import pytest
from starlette.testclient import TestClient

from barkslip.web.guard import POLICY, Guard

LOOK = {"state": "pushing", "on": "2025-06-29"}


def test_every_answer_forbids_what_a_page_does_not_need(reader: TestClient) -> None:
    for path in ("/", "/static/barkslip.css", "/nope"):
        headers = reader.get(path).headers
        assert headers["content-security-policy"] == POLICY
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"


def test_a_foreign_host_name_is_refused(reader: TestClient) -> None:
    answer = reader.get("/", headers={"host": "rebound.example:8321"})
    assert answer.status_code == 421
    assert answer.text == (
        "This garden book answers to 127.0.0.1, ::1, [::1], localhost only, not to 'rebound.example:8321'.\n"
    )


@pytest.mark.parametrize("host", ["127.0.0.1:8321", "localhost:8321", "[::1]:8321"])
def test_this_machine_is_answered(reader: TestClient, host: str) -> None:
    assert reader.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "https://elsewhere.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
    ],
)
def test_only_own_pages_write(client: TestClient, headers: dict[str, str]) -> None:
    before = len(client.get("/grafts/G12-1?as=json").json()["looks"])
    answer = client.post("/grafts/G12-1/looks", data=LOOK, headers=headers)
    assert answer.status_code == 403
    assert answer.text == "Only the book's own pages may write into it.\n"
    assert len(client.get("/grafts/G12-1?as=json").json()["looks"]) == before


@pytest.mark.parametrize("headers", [{"sec-fetch-site": "same-origin"}, {"origin": "http://127.0.0.1:8321"}, {}])
def test_own_pages_write(client: TestClient, headers: dict[str, str]) -> None:
    before = len(client.get("/grafts/G12-1?as=json").json()["looks"])
    assert client.post("/grafts/G12-1/looks", data=LOOK, headers=headers).status_code == 303
    assert len(client.get("/grafts/G12-1?as=json").json()["looks"]) == before + 1


def test_a_two_gigabyte_file_is_refused_before_it_is_sent(client: TestClient) -> None:
    answer = client.post("/weather/import", headers={"content-length": str(2 * 1024**3)})
    assert answer.status_code == 413
    assert answer.text == (
        "That file is too big to be sent. Nothing was written.\n"
        "Allowed: 210 MB\n"
        "Next: cut it into years, or bring it in at the command line: barkslip weather import FILE\n"
    )


def test_an_endless_body_without_a_length_is_cut_off() -> None:
    """Chunked requests name no length: what really arrives is counted."""
    sent: list[dict[str, object]] = []

    async def app(scope, receive, send):  # type: ignore[no-untyped-def]
        while (await receive()).get("more_body"):
            pass

    async def receive() -> dict[str, object]:
        return {"type": "http.request", "body": b"x" * 400, "more_body": True}

    async def send(message: dict[str, object]) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/", "headers": [(b"host", b"localhost")], "query_string": b"",
    }  # fmt: skip
    # in a thread of its own: the browser's driver keeps an event loop running in this one
    guard = Guard(app, most_bytes=1000)
    thread = threading.Thread(target=lambda: asyncio.run(guard(scope, receive, send)))
    thread.start()
    thread.join(timeout=10)
    assert sent[0]["status"] == 413
