"""Every page renders with strict undefined names, balanced, without inline script or style and without strangers."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path

import jinja2
import pytest

import barkslip
from barkslip.domain.act import Event
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import (
    GraftStory,
    Hit,
    LimbCard,
    LotCard,
    LotStory,
    PlotDay,
    PlotToday,
    SeriesCard,
    SeriesStory,
    Today,
    Walk,
    WeatherSince,
)
from barkslip.domain.due import Due
from barkslip.domain.errors import NotFoundError, QuestionError
from barkslip.domain.garden import Garden
from barkslip.domain.graft import STATES
from barkslip.domain.known import Entry, Found
from barkslip.domain.sourced import Source, Value
from barkslip.domain.tree import Candidate
from barkslip.domain.units import METRIC, US
from barkslip.domain.weather import Flag, Gap, MonthSummary, SeriesInfo
from barkslip.domain.when import on
from barkslip.present.day import beginning
from barkslip.present.form import FormField, FormView
from barkslip.present.jinja import template_globals
from barkslip.present.lists import BookView, Filter, Pager

ON = date(2024, 9, 13)
WEB = Path(barkslip.__file__).parent / "web"
VOID = {"meta", "link", "img", "input", "br", "hr", "source"}


class Checker(HTMLParser):
    """Collects unbalanced tags, labels, ids and whatever the page's policy forbids."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.faults: list[str] = []
        self.ids: list[str] = []
        self.labels: set[str] = set()
        self.inputs: set[str] = set()

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        if tag not in VOID:
            self.open.append(tag)
        if "style" in values or tag == "style" or any(name.startswith("on") for name in values):
            self.faults.append(f"<{tag}> carries style or script")
        for name in ("src", "href", "action"):
            if re.match(r"(https?:)?//|javascript:|data:", values.get(name) or ""):
                self.faults.append(f"<{tag} {name}={values[name]}> leads to strangers")
        if tag == "script" and not values.get("src"):
            self.faults.append("inline script")
        if "id" in values:
            self.ids.append(values["id"])
        if tag == "label":
            self.labels.add(values.get("for", ""))
        if tag in ("input", "select", "textarea") and values.get("type") != "hidden":
            self.inputs.add(values.get("id", "(none)"))
        if tag == "img" and "alt" not in values:
            self.faults.append("picture without words")

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> closes nothing")


def check(html: str) -> Checker:
    checker = Checker()
    checker.feed(html)
    assert checker.faults == []
    assert checker.open == []
    assert len(set(checker.ids)) == len(checker.ids), "an id stands twice"
    assert checker.inputs <= checker.labels, "a field without its label"
    return checker


def since() -> WeatherSince:
    days = tuple(
        ((ON - timedelta(days=20 - i)).isoformat(), *((None, None) if i == 4 else (4.0, 22.0))) for i in range(20)
    )
    low, high = (-1.0, "2024-09-06T05:40"), (37.0, "2024-09-10T14:30")
    return WeatherSince("Yard", "logger", 400.0, 0.95, *low, *high, 4.0, 90.0, 2.0, 0.0, 18.0, 30.0, 36.0, days)


@pytest.fixture
def pages(garden):
    value = Value(45.0, "d", "own.trade", "common practice", 28.0, 60.0, note="Day after setting.")
    late = Due("release", date(2024, 8, 1), date(2024, 9, 10), "release-holds", date(2024, 8, 1), value, "vinyl tape")
    rub = Due("rub", date(2024, 9, 10), None, "rub-first", date(2024, 9, 1), value)
    first = Due("first look", date(2024, 9, 10), date(2024, 9, 16), "first-look", date(2024, 9, 1), value)
    tree = garden.tree(name="Well <b>", union_mm=620.0)
    limb = garden.limb(tree, "NW-M-L", tip_mm=1900.0)
    card = garden.graft(tree, limb, ("swelling",), due=(late, first), binding="vinyl tape", scion_mm=7.0)
    look = garden.look("swelling", ON, shoot_mm=4.0, note="bag dry")
    story = garden.story(tree, (LimbCard(limb, (card,), (("L2", "2022-02-11"),)),), (garden.graft(tree),))
    tree_card = replace(story.card, due=(rub,))
    night = PlotDay("2024-09-13", -0.6, 14.0, 24.0)
    plot = PlotToday(
        garden.plot, ((tree_card, (card,)),), 2, 3, (night,), (replace(night, forecast=True),), "logger", "forecast"
    )
    home = Garden(**garden.line(), name="Quarrow Flat", lat=-33.6, utc_offset_h=2.0, invented=True)
    today = Today(ON, home, (plot,), 2, 3, 1, True)
    lot = WoodLot(**garden.line(), code="W08", name="'Anna' apple", cut=on(ON), sticks=2)
    lot_card = LotCard(lot, 2, {"took": 2}, "'Granny Smith' apple", False)
    find = LotFind(**garden.line(), lot=lot.thing, found="'Granny Smith' apple", how="fruit", on=on(ON))
    passport, backup = (("ACCENUMB", "W08"),), ("/book/backup", "Make a backup", "h")
    event = Event(**garden.line(), kind="still frost", on=on(ON), text="rime", figures={"low_c.LOW": -5.8})
    info = SeriesInfo(
        "Yard", "measured", "logger", gaps=(Gap(0, 7200),), flags=(Flag("jump", "air_temp_c", 0, 0, 1, "one"),)
    )
    series = SeriesCard("s1", "YARD", "House yard", info, "2023-07-01", "2024-09-13", 21120, ("air_temp_c",))
    month = MonthSummary(2024, 8, 700.0, 0.97, -4.0, 24.0, 12.0, 4.0, 20.0, 12.0, 60.0, 0.0)
    lines = {"frost_c": 0.0, "healing_low_c": 18.0, "healing_high_c": 30.0, "heat_c": 36.0}
    ask = QuestionError("Is it °F?", code="unit", answers=(("22 °F", "22 °F"),), given="22", field="f3")
    kinds = ("text", "number", "select", "textarea", "date", "file", "radio", "checkbox", "hidden", "search")
    fields = tuple(
        FormField(f"f{i}", k.title(), k, "x", help="h", options=(("x", "X"),), unit="cm") for i, k in enumerate(kinds)
    )
    fields += (FormField("c", "What it is", "candidates", (Candidate("citrange", 0.5),), datalist=("citrange",)),)
    source = Source("k", "Author (2011)", "", "abstract or first page")
    found = Found(
        "binding",
        "vinyl",
        "vinyl tape",
        "near",
        (("What", "tape"),),
        (Entry("a", "release by", value, source),),
        (source,),
    )
    walk = Walk(ON, home, 0, 2, card, (rub,), "", "G04-9", (look,))
    graft = GraftStory(card, story.chain, lot, (find,), (look,), (), (), since(), (), (card,))
    return home, {
        "today.html": {"today": today, "begin": []}, "walk.html": {"walk": walk, "set_any": True},
        "trees.html": {"cards": [tree_card], "total": 1, "pager": None, "bare_plots": []},
        "tree.html": {"story": replace(story, card=tree_card)}, "graft.html": {"story": graft},
        "grafts.html": {"cards": [card], "total": 1, "pager": Pager(1, 1, 2, "", "/grafts?page=2"),
                        "filters": (Filter("word", "Verdict", (("", "all"),)),)},
        "wood.html": {"cards": [lot_card]}, "weather.html": {"items": [series]},
        "lot.html": {"story": LotStory(lot_card, (find,), (card,), (), ("T02", "", "G04-1"), (), (), passport)},
        "events.html": {"events": [event]},
        "series.html": {"story": SeriesStory(series, (month,), lines)},
        "search.html": {"q": "a&b", "hits": [Hit("graft", "G04-3", "x", "G04-3 <i>", "Well")], "standings": {}},
        "know.html": {"q": "vinyl", "results": [found]},
        "error.html": {"error": NotFoundError("No such graft.", given="<x>")},
        "form.html": {"form": FormView("Add", "/x", fields, error=ask, crumbs=(("/trees", "Trees"),))},
        "book.html": {"book": BookView("a.barkslip", 1, (("trees", 1),), actions=(backup,))},
    }  # fmt: skip


#: Pages whose tests stand with their words.
ELSEWHERE = (
    "night", "after_frost", "heat", "days", "clock_part", "graft_clock", "grouped_form", "wood_", "lot_", "chimera",
    "fits", "fruit", "ripe", "trace", "tools", "held", "root", "trial", "tast", "take", "why", "worth",
)  # fmt: skip


def render(name, context, home, units=METRIC):
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(WEB / "templates"), autoescape=True, undefined=jinja2.StrictUndefined
    )
    env.globals.update(template_globals(), new_id=lambda: "new-id")
    return env.get_template(name).render(
        garden=home, on=ON, units=units, **{"just": None, "here_address": "/", "request_path": "/", **context}
    )


@pytest.mark.parametrize("units", [METRIC, US])
def test_every_page_is_whole_and_keeps_the_policy(pages, units):
    home, contexts = pages
    every = {p.name for p in (WEB / "templates").iterdir() if not p.name.startswith(ELSEWHERE)}
    assert set(contexts) == every - {"base.html", "macros.html"}
    for name, context in contexts.items():
        html = render(name, context, home, units)
        check(html)
        assert "<strong>Invented demo garden.</strong>" in html, name
        assert 'href="#main"' in html, name
        assert len(re.findall(r"<h1[ >]", html)) == 1, name


def test_words_of_the_book_are_escaped(pages):
    home, contexts = pages
    assert "Well &lt;b&gt;" in render("tree.html", contexts["tree.html"], home)
    assert "<b>" not in render("tree.html", contexts["tree.html"], home)
    assert "G04-3 &lt;i&gt;" in render("search.html", contexts["search.html"], home)


def test_the_walk_has_all_ten_states_and_enter_saves_none(pages):
    home, contexts = pages
    html = render("walk.html", contexts["walk.html"], home)
    form = html[html.index('action="/grafts/') : html.index("</form>")]
    assert re.findall(r'name="state" value="([^"]+)"', form) == list(STATES)
    assert form.index("disabled") < form.index('name="state"'), "the button that Enter would press does nothing"
    assert 'name="next" value="/walk?graft=G04-9"' in form
    assert 'name="on" value="2024-09-13"' in form
    assert html.count('name="kind" value="release"') == 1
    assert 'name="kind" value="rub"' in html


def test_a_question_brings_its_answers_as_buttons(pages):
    home, contexts = pages
    html = render("form.html", contexts["form.html"], home)
    assert '<button name="answer" value="unit|f3|22 °F">22 °F</button>' in html
    assert html.index("<button") < html.index('name="answer"'), "Enter saves, it answers no question"
    assert 'enctype="multipart/form-data"' in html
    for name in ("taxon_1", "belief_1", "evidence_1", "taxon_3"):
        assert f'name="{name}"' in html


def test_an_end_of_the_walk_and_empty_lists(pages):
    home, contexts = pages
    walk = replace(contexts["walk.html"]["walk"], card=None)
    done = render("walk.html", {"walk": walk, "set_any": True}, home)
    assert "2 grafts still wait or need something: a verdict takes time." in done
    steps = beginning({"tree": 1}, "T01")
    first = render(
        "today.html", {"today": replace(contexts["today.html"]["today"], plots=(), due=0), "begin": steps}, home
    )
    check(first)
    assert "Go on from here." in first
    assert 'class="button main" href="/trees/T01/limbs/new"' in first
    for name, context, words in (
        ("walk.html", {"walk": replace(walk, stops=0), "set_any": False}, "No graft to walk to yet."),
        ("today.html", {"today": contexts["today.html"]["today"], "begin": beginning({})}, "Begin with one tree."),
        ("grafts.html", {"cards": [], "total": 0, "pager": None, "filters": ()}, "No graft is set yet."),
        ("events.html", {"events": []}, "Nothing written down yet."),
        ("trees.html", {"cards": [], "total": 0, "pager": None, "bare_plots": []}, "No tree is written down yet."),
        ("wood.html", {"cards": []}, "No wood is written down yet."),
        ("weather.html", {"items": []}, "No weather in the book yet."),
        ("search.html", {"q": "zz", "hits": [], "standings": {}}, "Nothing found"),
        ("know.html", {"q": "zz", "results": []}, "Not known is a full answer."),
    ):
        html = render(name, context, home)
        check(html)
        assert words in html


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def palettes():
    css = (WEB / "static" / "barkslip.css").read_text(encoding="utf-8")
    for block in re.findall(r"\{\s*color-scheme: (?:light|dark);(.*?)\}", css, re.DOTALL):
        yield dict(re.findall(r"--([a-z0-9-]+): (#[0-9A-F]{6})\b", block))


def test_words_have_seven_to_one_on_every_ground_bright_and_dim():
    found = list(palettes())
    assert len(found) >= 3
    assert found[1] == found[2], "the dim form is the same by choice and by the phone's setting"
    for colours in found[:2]:
        for ink in ("ink", "ink2", "leaf-t", "frost-t", "heat-t", "loss-t", "wait-t"):
            for ground in ("paper", "sheet"):
                assert contrast(colours[ink], colours[ground]) >= 7.0, (ink, ground)
        for ground in ("wait-s", "heat-s"):
            assert contrast(colours["ink"], colours[ground]) >= 7.0
        assert contrast(colours["bar-ink"], colours["bar-bg"]) >= 7.0
        assert contrast(colours["bar-on-ink"], colours["bar-on"]) >= 7.0
        for mark in ("leaf", "wait", "loss", "frost", "heat"):
            assert contrast(colours[mark], colours["paper"]) >= 3.0, "marks and lines: WCAG 2.2, 1.4.11"


def test_everything_static_comes_from_here():
    css = (WEB / "static" / "barkslip.css").read_text(encoding="utf-8")
    for url in re.findall(r"url\(\"([^\"]+)\"\)", css):
        assert (WEB / "static" / url).is_file(), url
    assert "@import" not in css
    script = (WEB / "static" / "barkslip.js").read_text(encoding="utf-8")
    assert "http" not in script
    assert "innerHTML" not in script
    licence = (WEB / "static" / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
