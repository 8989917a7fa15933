"""The pages in a real browser: width, targets, the walk-round by thumb, forms without scripts."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

PATHS = (
    "/", "/walk", "/trees", "/trees/T01", "/trees/T02", "/trees/T06", "/trees/T10", "/grafts", "/grafts/G01-1",
    "/grafts/G14-5", "/wood", "/wood/W03", "/wood/W08", "/weather", "/search?q=navel", "/know?q=vinyl", "/book",
    "/events", "/trees/new", "/trees/T02/links/new", "/trees/T01/limbs/new", "/grafts/new?tree=T01",
    "/grafts/G14-5/looks/new", "/acts/new?graft=G14-5", "/wood/new", "/weather/import", "/weather/days/new",
    "/garden/edit", "/plots/LOW/edit", "/events/new",
    "/night", "/night?tree=T03&date=2025-07-01&members=60", "/night/card?tree=T03&date=2025-07-01&members=60",
    "/night/after?date=2022-09-12", "/night/scores?plot=LOW", "/night/lows/new?plot=LOW",
    "/heat", "/heat?graft=G14-10&date=2025-01-15&members=40", "/heat/card?graft=G14-10&date=2025-01-15&members=40",
    "/heat/card", "/heat/check", "/heat/check?logger=D&cover=foil+sleeve",
    "/days", "/days?tree=T01&method=bark_graft&from=2025-08-25&bark=lifts&members=60",
    "/days?tree=T01&method=bark_graft&members=60&years=no", "/days?tree=T01&species=jaboticaba",
    "/days/card?tree=T01&method=bark_graft&from=2025-08-25&bark=lifts&members=60", "/days/clock",
    "/days/clock?species=persimmon", "/grafts/G14-5/clock", "/days/weeks?tree=T01&method=cleft&members=60",
    "/wood/W05", "/wood/sticks", "/wood/sticks?grafts=6&take=0.6&buds_per_stick=4", "/wood/order?window=2025-10",
    "/wood/rules", "/wood/rules/new", "/wood/W08/label?copies=6",
    "/chimera?l1=Owari&l2=Robertson&l3=Robertson&tree=T02",
    "/chimera?of=Owari&with=Valencia",
)  # fmt: skip


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_nothing_is_wider_than_the_screen(request: pytest.FixtureRequest, size: str) -> None:
    page: Page = request.getfixturevalue(size)
    wide = {}
    for path in PATHS:
        page.goto(path)
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > page.viewport_size["width"]:  # type: ignore[index]
            wide[path] = width
    assert wide == {}


def test_targets_are_big_enough_for_a_glove(phone: Page) -> None:
    """Buttons, fields and the bar are 48 px high or more (WCAG 2.2 asks for 24, 44 at level AAA)."""
    for path in ("/", "/walk", "/grafts/G14-5", "/trees/T01", "/grafts/new?tree=T01", "/heat", "/heat/check", "/days",
                 "/days?tree=T01&method=bark_graft&members=60&years=no", "/days/clock"):  # fmt: skip
        phone.goto(path)
        assert _small_targets(phone) == [], path


def _small_targets(phone: Page) -> list[object]:
    found: list[object] = phone.evaluate(
        """() => [...document.querySelectorAll('button, .button, nav a, select, input:not([type=hidden]), textarea')]
           .filter(e => e.offsetParent !== null && !e.classList.contains('unseen')
                        && !['radio', 'checkbox'].includes(e.type))
           .map(e => [e.outerHTML.slice(0, 90), e.getBoundingClientRect().height])
           .filter(([, h]) => h < 47.5)"""
    )
    return found


def test_the_bar_never_covers_the_end_of_a_page(phone: Page) -> None:
    for path in ("/", "/grafts/G14-5", "/trees/T01"):
        phone.goto(path)
        phone.evaluate("window.scrollTo(0, document.body.scrollHeight)")
        bar = phone.locator("nav.nav").bounding_box()
        last = phone.locator("footer.foot").bounding_box()
        assert bar is not None
        assert last is not None
        if bar["y"] > 300:  # the bar stands at the bottom
            assert last["y"] + last["height"] <= bar["y"] + 1


def test_a_look_takes_at_most_three_taps_from_the_walk_round(phone: Page) -> None:
    phone.goto("/walk")
    taps = 0
    before = phone.locator("h1").inner_text()
    with phone.expect_navigation():
        phone.get_by_role("button", name="Swelling").tap()
    taps += 1
    assert taps <= 3
    assert phone.locator("h1").inner_text() != before or "Stop" in phone.locator("main").inner_text()


def test_all_states_stay_in_sight_after_a_save(phone: Page) -> None:
    """The confirmation with its way back pushes no state under the bar."""
    phone.goto("/walk?graft=G13-2")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Could not tell").tap()
    expect(phone.get_by_role("status")).to_contain_text("Written down: could not tell")
    bar = phone.locator("nav.nav").bounding_box()
    last = phone.get_by_role("button", name="Could not tell").bounding_box()
    assert bar is not None
    assert last is not None
    assert last["y"] + last["height"] <= bar["y"]
    with phone.expect_navigation():
        phone.get_by_role("button", name="Take back").tap()
    expect(phone.get_by_role("status")).to_contain_text("Taken back: could not tell")


def test_pages_are_small(desk: Page) -> None:
    """HTML of a page of the demo garden: below 60 kB, for a phone far from the house."""
    big = {}
    for path in PATHS:
        answer = desk.goto(path)
        assert answer is not None
        if len(answer.body()) > 60_000:
            big[path] = len(answer.body())
    assert big == {}


def test_a_look_without_scripts(plain: Page) -> None:
    plain.goto("/walk?graft=G14-12")
    with plain.expect_navigation():
        plain.get_by_role("button", name="Black").click()
    plain.goto("/grafts/G14-12")
    expect(plain.locator("main")).to_contain_text("did not take")


def test_a_question_is_answered_with_one_button(plain: Page) -> None:
    plain.goto("/trees/new")
    plain.get_by_label("Name").fill("gate post")
    plain.get_by_role("button", name="Save").click()
    expect(plain.locator("main")).to_contain_text("There is a tree called Gatepost already (T01). Is it the same one?")
    with plain.expect_navigation():
        plain.get_by_role("button", name="yes, take me to T01").click()
    assert plain.url.endswith("/trees/T01")


def test_a_tree_is_drawn_with_marks_that_lead_to_grafts(desk: Page) -> None:
    desk.goto("/trees/T02")
    drawings = desk.locator("main svg")
    assert drawings.count() >= 2
    hrefs = [a.get_attribute("href") for a in desk.locator("main svg a").all()]
    assert any((h or "").startswith("/grafts/") for h in hrefs)


def test_keyboard_alone_reaches_a_state(desk: Page) -> None:
    desk.goto("/walk?graft=G14-5")
    for _ in range(60):
        desk.keyboard.press("Tab")
        text = desk.evaluate("document.activeElement.textContent.trim()")
        if text.startswith("Stalled"):
            break
    else:
        pytest.fail("no state button was reached with the Tab key")
    with desk.expect_navigation():  # what follows would break off a form still on its way
        desk.keyboard.press("Enter")
    desk.goto("/grafts/G14-5")
    expect(desk.locator("main")).to_contain_text("stalled")


def test_the_letters_come_from_our_own_files(desk: Page) -> None:
    desk.goto("/")
    desk.evaluate("document.fonts.ready")
    assert desk.evaluate("document.fonts.check('17px \"Atkinson Hyperlegible\"')")


def test_print_form_has_no_bar(desk: Page) -> None:
    desk.goto("/trees/T01")
    desk.emulate_media(media="print")
    assert not desk.locator("nav.nav").is_visible()
    assert desk.locator("main svg").first.is_visible()
