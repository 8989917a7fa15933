"""The gate: which hosts may ask, who may write, how much may be sent, and what a page may load."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Hosts a loopback server answers to. Anything else may be a foreign page that points its own name here.
LOOPBACK = ("127.0.0.1", "localhost", "[::1]", "::1")
#: Most that one request may carry [bytes]: a weather file with a margin.
MOST_BYTES = 210_000_000
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=()",
}


class _TooMuch(Exception):
    """More was sent than is taken."""


class Guard:
    """Refuses foreign hosts, writes from foreign pages and oversized requests; sets the headers of every answer."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str] = LOOPBACK, most_bytes: int = MOST_BYTES) -> None:
        self.app = app
        self.hosts = frozenset(h.lower() for h in hosts)
        self.most_bytes = most_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], headers)
        if refusal is not None:
            status, words = refusal
            response = PlainTextResponse(words, status, headers={**_HEADERS, "connection": "close"})
            await response(scope, receive, send)
            return
        seen = 0
        started = False

        async def counted() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > self.most_bytes:
                raise _TooMuch
            return message

        async def dressed(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                answer = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    answer.setdefault(name, value)
                if not scope["path"].startswith(("/static/", "/photos/")):
                    answer.setdefault("cache-control", "no-store")
            await send(message)

        try:
            await self.app(scope, counted, dressed)
        except _TooMuch:
            if not started:
                await PlainTextResponse(self._too_much(), 413, headers=_HEADERS)(scope, receive, send)

    def _refusal(self, method: str, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        name = urlsplit(f"//{host}").hostname or ""
        if name.lower() not in self.hosts and f"[{name}]" not in self.hosts:
            return 421, f"This garden book answers to {', '.join(sorted(self.hosts))} only, not to {host!r}.\n"
        length = headers.get("content-length", "0")
        if length.isdigit() and int(length) > self.most_bytes:
            return 413, self._too_much()
        if method in ("GET", "HEAD", "OPTIONS"):
            return None
        site = headers.get("sec-fetch-site")
        if site is not None and site not in ("same-origin", "none"):
            return 403, "Only the book's own pages may write into it.\n"
        origin = headers.get("origin")
        if origin is not None and urlsplit(origin).netloc.lower() != host.lower():
            return 403, "Only the book's own pages may write into it.\n"
        return None

    def _too_much(self) -> str:
        return (
            "That file is too big to be sent. Nothing was written.\n"
            f"Allowed: {self.most_bytes // 1_000_000} MB\n"
            "Next: cut it into years, or bring it in at the command line: barkslip weather import FILE\n"
        )
