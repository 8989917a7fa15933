"""Days to graft in a real browser: the bark tested by one tap, the clock that fills in, and all without scripts."""

from __future__ import annotations

from playwright.sync_api import Page, expect


def test_one_tap_on_the_bark_turns_the_answer(phone: Page) -> None:
    phone.goto("/days?tree=T03&method=bark_graft&years=no&members=40&days=3")
    expect(phone.get_by_role("button", name="Tears")).to_be_visible()
    with phone.expect_navigation():
        phone.get_by_role("button", name="Tears").tap()
    expect(phone.locator("h1")).to_contain_text("Not now: the bark tears.")
    expect(phone.get_by_role("button", name="Take back")).to_be_visible()


def test_the_form_needs_two_choices_and_one_tap(phone: Page) -> None:
    phone.goto("/days")
    phone.get_by_label("Tree", exact=True).select_option("T02")
    phone.get_by_label("Method").select_option("cleft")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Which days?").last.tap()
    expect(phone.locator("h1")).to_contain_text("the union links in time")
    expect(phone.locator("svg.ribbon").first).to_be_visible()
    assert phone.locator("table.days tbody tr:not(.from)").count() == 14


def test_a_graft_s_clock_comes_in_while_its_page_stands(phone: Page) -> None:
    phone.goto("/grafts/G14-5")
    expect(phone.locator("#clock")).to_contain_text("By its clock", timeout=30_000)
    expect(phone.locator("#clock svg.clock").first).to_be_visible()


def test_without_scripts_its_link_leads_to_it(plain: Page) -> None:
    plain.goto("/grafts/G14-8")
    with plain.expect_navigation():
        plain.get_by_role("link", name="Work out its healing clock").click()
    expect(plain.locator("#clock")).to_contain_text("By its clock")
    plain.goto("/days?tree=T02&method=cleft&years=no&members=40")
    expect(plain.locator("h1")).to_contain_text("the union links in time")


def test_the_table_of_a_desk_is_a_list_on_a_phone(phone: Page, desk: Page) -> None:
    path = "/days?tree=T02&method=cleft&members=40"
    for page, wide in ((phone, False), (desk, True)):
        page.goto(path)
        assert page.locator("table.days thead").is_visible() is wide
        assert page.locator("table.days tr.from").first.is_visible()
        assert page.locator("svg.ribbon:visible").count() == 1
        assert page.locator("svg.year:visible").count() == 1
