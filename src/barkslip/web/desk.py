"""The desk: what every page works with (book, templates, units, typed fields)."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit, urlunsplit

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape

from barkslip.app.context import Context
from barkslip.app.written import mark, written
from barkslip.domain.cards import SeriesCard
from barkslip.domain.entry import Entry
from barkslip.domain.errors import BarkslipError, InputError
from barkslip.domain.garden import Garden
from barkslip.domain.units import UnitChoice, unit_choice
from barkslip.present.fault import error_data
from barkslip.present.form import FormView, read_answer
from barkslip.present.jinja import template_globals
from barkslip.present.lists import Pager
from barkslip.present.records import record
from barkslip.web.errors import status_of

_HERE = Path(__file__).parent


class Desk:
    """Pages are laid out here.

    Parameters
    ----------
    ctx : Context
    background : callable or None
        Works a day's cold night out while nobody waits; None in tests.
    """

    def __init__(self, ctx: Context, background: Callable[[date], None] | None = None) -> None:
        self.ctx = ctx
        self.background = background
        self.templates = Environment(
            loader=FileSystemLoader(_HERE / "templates"),
            autoescape=select_autoescape(default=True),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
        )
        self.templates.globals.update(template_globals())

    def units(self, request: Request, garden: Garden) -> UnitChoice:
        """Units of this page: asked for in the address, else the garden's."""
        asked = request.query_params.get("units", "")
        return unit_choice(asked) if asked else self.ctx.units(garden)

    def page(
        self, request: Request, template: str, data: object = None, *, status: int = 200, **context: Any
    ) -> Response:
        """A page, or the same facts as JSON if the reader asks for JSON.

        Parameters
        ----------
        data : object
            The record behind the page: what JSON is made of.
        context : Any
            More names for the template.
        """
        garden = self.ctx.garden()
        units = self.units(request, garden)
        if data is not None and wants_json(request):
            return JSONResponse(record(data, units), status)
        context.setdefault("on", self.ctx.today(garden))
        saved = request.query_params.get("saved", "")
        html = self.templates.get_template(template).render(
            garden=garden,
            units=units,
            new_id=self.ctx.new_id,
            request_path=request.url.path,
            here_address=without_saved(request),
            just=written(self.ctx, saved) if saved else None,
            **context,
        )
        return HTMLResponse(html, status)

    def error(self, request: Request, error: BarkslipError) -> Response:
        """An error page, or the error as JSON."""
        status = status_of(error)
        if wants_json(request):
            return JSONResponse(error_data(error), status)
        try:
            return self.page(request, "error.html", error=error, status=status, status_code=status)
        except BarkslipError:
            # the book itself cannot be read: a page without it
            html = self.templates.get_template("error.html").render(
                garden=None, units=unit_choice("metric"), new_id=self.ctx.new_id, on=None, error=error,
                status_code=status, request_path=request.url.path, here_address="/", just=None,
            )  # fmt: skip
            return HTMLResponse(html, status)

    def form(self, request: Request, form: FormView) -> Response:
        """A form; with the status of its error if it brings one."""
        if form.error is not None and wants_json(request):
            return JSONResponse(error_data(form.error), status_of(form.error))
        status = status_of(form.error) if form.error is not None else 200
        return self.page(request, "form.html", form=form, here=form.here, status=status)

    def save(
        self,
        request: Request,
        fields: dict[str, str],
        do: Callable[[dict[str, str]], Any],
        form: Callable[[Mapping[str, str], BarkslipError | None], FormView],
        done: Callable[[Any], str],
        filled: FormView | None = None,
    ) -> Response:
        """Carry out what a form asks for; on an error show the form again with everything that was typed.

        Parameters
        ----------
        do : callable
            fields -> what was written.
        form : callable
            (typed fields, error) -> form.
        done : callable
            What was written -> address to go to.
        filled : FormView or None
            For a correction: the form as it was filled from the book.
        """
        fields = answered(fields)
        try:
            result = do(changed_only(fields, filled) if filled else fields)
        except BarkslipError as error:
            return self.form(request, form(fields, error))
        if wants_json(request):
            return JSONResponse(record(result, self.units(request, self.ctx.garden())), 201)
        return self.go(fields.get("next") or done(result), result)

    @staticmethod
    def go(address: str, result: object) -> Response:
        """Lead on to a page that says what was written down or taken back."""
        return RedirectResponse(with_saved(address, result), 303)


def with_saved(address: str, result: object) -> str:
    """An address that says what has been written: an entry, or the first one of several."""
    entry = result[0] if isinstance(result, list) and result else result
    said = ""
    if isinstance(entry, Entry):
        said = mark(entry)
    elif isinstance(entry, SeriesCard):
        said = f"weather.{entry.thing}"
    parts = urlsplit(address)
    query = [(k, v) for k, v in parse_qsl(parts.query) if k != "saved"] + ([("saved", said)] if said else [])
    return urlunsplit(("", "", parts.path, urlencode(query), parts.fragment))


def without_saved(request: Request) -> str:
    """Address of the page that is shown, to come back to."""
    query = urlencode([(k, v) for k, v in request.query_params.multi_items() if k != "saved"])
    return f"{request.url.path}?{query}" if query else request.url.path


def wants_json(request: Request) -> bool:
    """True if the reader prefers JSON to a page."""
    accept = request.headers.get("accept", "")
    return request.query_params.get("as") == "json" or ("application/json" in accept and "text/html" not in accept)


def answered(fields: dict[str, str]) -> dict[str, str]:
    """Fields with the answer to a question worked in: its code joins `sure`, its value goes into its field."""
    answer = fields.pop("answer", "")
    if not answer:
        return fields
    code, name, value = read_answer(answer)
    out = dict(fields)
    out["sure"] = f"{fields.get('sure', '')} {code}".strip()
    if code == "gallon" and name:
        number = "".join(c for c in fields.get(name, "") if c.isdigit() or c in ".,-")
        out[name] = f"{number} {value}"
    elif name and value not in (code, "cancel"):
        out[name] = value
    elif value == "cancel":
        out["sure"] = fields.get("sure", "")
    return out


def same_one(fields: Mapping[str, str]) -> str:
    """Code of the thing that a "same name" question was answered with; "" if it was not."""
    _, _, value = read_answer(fields.get("answer", ""))
    return value.removeprefix("same:") if value.startswith("same:") else ""


def changed_only(fields: dict[str, str], filled: FormView) -> dict[str, str]:
    """Typed fields without those that still say what the form was filled with.

    So a correction of one field never rounds another: what was not touched stays as the book has it.
    """
    out = dict(fields)
    for one in filled.fields:
        if one.kind == "checkbox":
            if bool(out.get(one.name)) == bool(one.value):
                out.pop(one.name, None)
            else:
                out.setdefault(one.name, "")
        elif one.kind not in ("hidden", "file", "candidates") and out.get(one.name) == one.value:
            out.pop(one.name)
    return out


def day_asked(text: str, field: str) -> date | None:
    """The day an address asks for; None if it asks for none.

    Raises
    ------
    InputError
    """
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(
            "Not a date that can be.",
            given=text,
            allowed="2024-10-20",
            next_step="Type the day as year-month-day.",
            field=field,
        ) from None


def page_number(text: str) -> int:
    """Page of a list, from 1; anything else is the first."""
    return max(int(text), 1) if text.isdigit() and len(text) < 9 else 1


def pager_of(path: str, asked: Mapping[str, str], page: int, size: int, total: int) -> Pager:
    """Where a list stands, with addresses of the pages before and after."""

    def address(number: int) -> str:
        return f"{path}?" + urlencode({k: v for k, v in asked.items() if v} | {"page": str(number)})

    first = (page - 1) * size
    return Pager(
        first=min(first + 1, total),
        last=min(first + size, total),
        total=total,
        before=address(page - 1) if page > 1 else "",
        after=address(page + 1) if first + size < total else "",
    )


def safe_next(address: str) -> str:
    """An address within the app; anything else becomes the first page."""
    return address if address.startswith("/") and not address.startswith("//") and "\\" not in address else "/"


async def typed(request: Request) -> AsyncIterator[dict[str, str]]:
    """Typed fields of a form or of a JSON object, as text. Files are left to the pages that take them.

    What was sent is let go of when the page has been answered.
    """
    if request.headers.get("content-type", "").startswith("application/json"):
        from json import JSONDecodeError

        try:
            body = await request.json()
        except (JSONDecodeError, UnicodeDecodeError):
            body = None
        if not isinstance(body, dict):
            raise InputError(
                "This is no JSON object.", allowed='{"state": "pushing", "on": "2024-10-20"}', next_step="Correct it."
            )
        yield {str(k): "" if v is None else str(v) for k, v in body.items()}
        return
    async with request.form(max_fields=5000, max_part_size=2_000_000) as data:
        out: dict[str, str] = {}
        for name, value in data.multi_items():
            if isinstance(value, str):
                # boxes of one name are sent one by one: what is ticked is listed with commas
                out[name] = f"{out[name]}, {value}" if name in out else value
        if "next" in out:
            out["next"] = safe_next(out["next"])
        yield out
