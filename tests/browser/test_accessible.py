"""Every page under axe-core (WCAG 2.x A and AA and its best practices), bright and dim; focus; tables behind charts."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

PATHS = (
    "/", "/walk", "/walk?at=999", "/trees", "/trees/T01", "/trees/T02", "/trees/T06", "/trees/T10", "/grafts",
    "/grafts/G01-1", "/grafts/G14-5", "/wood", "/wood/W03", "/wood/W08", "/weather", "/search", "/search?q=navel",
    "/know", "/know?q=vinyl", "/know?q=trifoliate", "/book", "/events", "/trees/new", "/trees/T02/edit",
    "/trees/T02/links/new", "/trees/T10/limbs/new", "/grafts/new", "/grafts/new?tree=T02", "/grafts/G14-5/looks/new",
    "/acts/new?graft=G14-5", "/wood/new", "/wood/W01/finds/new", "/weather/import", "/weather/days/new",
    "/garden/edit", "/plots/LOW/edit", "/events/new", "/photos/new?about=x", "/nothing/here",
    "/night", "/night?tree=T03&date=2025-07-01&members=60", "/night/card?tree=T03&date=2025-07-01&members=60",
    "/night/after?date=2022-09-12", "/night/scores?plot=LOW", "/night/lows/new?plot=LOW",
    "/heat", "/heat?graft=G14-10&date=2025-01-15&members=40", "/heat/card?graft=G14-10&date=2025-01-15&members=40",
    "/heat/card", "/heat/check", "/heat/check?logger=D&cover=foil+sleeve",
    "/days", "/days?tree=T01&method=bark_graft&from=2025-08-25&bark=lifts&members=60",
    "/days?tree=T01&method=bark_graft&members=60&years=no", "/days?tree=T01&species=jaboticaba",
    "/days/card?tree=T01&method=bark_graft&from=2025-08-25&bark=lifts&members=60", "/days/clock",
    "/days/clock?species=persimmon", "/grafts/G14-5/clock", "/days/weeks?tree=T01&method=cleft&members=60",
    "/fits", "/fits?scion=Washington&tree=T02", "/fits?tree=T04", "/ripe",
    "/fruit?scion=Washington&tree=T01&against=Carrizo",
    "/wood/W05", "/wood/sticks", "/wood/sticks?grafts=6&take=0.6&buds_per_stick=4", "/wood/order?window=2025-10",
    "/wood/rules", "/wood/rules/new", "/wood/W08/label?copies=6",
    "/chimera?l1=Owari&l2=Robertson&l3=Robertson&tree=T02",
    "/chimera?of=Owari&with=Valencia",
    "/trace", "/trace?from=W08&why=wrong-name", "/trace?from=W03&agent=exocortis", "/trace/agents/exocortis", "/tools",
    "/tools/new", "/holds/new", "/wood/W08a/handouts/new", "/wood/W08a",
)  # fmt: skip


def _complaints(page: Page) -> list[str]:
    """What axe calls serious or critical, one line an element."""
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    return [
        f"{v['id']} ({v['impact']}): {node['html'][:120]}"
        for v in found
        if v["impact"] in ("serious", "critical")
        for node in v["nodes"]
    ]


def _all_pages(page: Page, paths: tuple[str, ...] = PATHS) -> dict[str, list[str]]:
    bad = {}
    page.goto("/weather")
    series = page.locator("a.whole").first.get_attribute("href") or ""
    for path in (*paths, series):
        page.goto(path)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        found = _complaints(page)
        if found:
            bad[path] = found[:5]
    return bad


@pytest.mark.slow
@pytest.mark.parametrize("light", ["light", "dark"])
def test_axe_finds_nothing_serious_on_any_page(phone: Page, light: str) -> None:
    phone.emulate_media(color_scheme=light)  # type: ignore[arg-type]
    assert _all_pages(phone) == {}


@pytest.mark.slow
def test_axe_finds_nothing_serious_on_a_desk(desk: Page) -> None:
    assert (
        _all_pages(desk, ("/", "/walk", "/trees/T02", "/grafts/G14-5", "/know?q=vinyl", "/grafts/new?tree=T02")) == {}
    )


def test_axe_would_find_a_fault(desk: Page) -> None:
    """The check itself: a picture without words is a fault."""
    desk.goto("/")
    desk.evaluate("document.querySelector('main').append(new Image(9, 9))")
    assert any(found.startswith("image-alt (critical)") for found in _complaints(desk))


def test_focus_is_seen_on_everything_that_takes_it(desk: Page) -> None:
    """A ring of 2 px or more, or a mark's own ring in a drawing (WCAG 2.4.7)."""
    for path in ("/", "/walk", "/trees/T02", "/grafts/new?tree=T02"):
        desk.goto(path)
        unseen = []
        for _ in range(40):
            desk.keyboard.press("Tab")
            said = desk.evaluate(
                """() => { const e = document.activeElement, s = getComputedStyle(e);
                if (e === document.body) return '';
                const hit = e.querySelector('.hit');
                const ring = parseFloat(s.outlineWidth) >= 2 && s.outlineStyle !== 'none';
                return ring || (hit && getComputedStyle(hit).strokeWidth === '3px') ? '' : e.outerHTML.slice(0, 90) }"""
            )
            if said:
                unseen.append(said)
        assert unseen == [], path


def test_every_chart_has_its_table(desk: Page) -> None:
    """A chart of numbers stands beside a table of the same numbers."""
    desk.goto("/weather")
    series = desk.locator("a.whole").first.get_attribute("href") or ""
    hot = "/heat?graft=G14-10&date=2025-01-15&members=40"
    for path in ("/", "/grafts/G14-5", hot, "/heat/check?logger=D&cover=foil+sleeve", "/ripe",
                 "/fruit?scion=Washington&tree=T01", series):  # fmt: skip
        desk.goto(path)
        charts = desk.evaluate(
            "[...document.querySelectorAll('svg.chart')].map(c => !!c.closest('section').querySelector('table'))"
        )
        assert charts, path
        assert all(charts), path


def test_every_drawing_says_what_it_shows(desk: Page) -> None:
    """A name for each drawing, and the grafts of a drawn tree as a list below it."""
    for path in ("/", "/trees/T02", "/grafts/G14-5", "/heat?graft=G14-10&date=2025-01-15&members=40"):
        desk.goto(path)
        names = desk.evaluate(
            """[...document.querySelectorAll('main svg')].map(s => s.getAttribute('aria-label')
            || (s.querySelector(':scope > title') || {}).textContent || s.getAttribute('aria-hidden') || '')"""
        )
        assert names, path
        assert all(names), path
