"""A job card worked at the bike on a phone: each tap answers in place."""

from __future__ import annotations

from playwright.sync_api import Page, expect

CARD = "Pull the intake clamps up"


def to_the_card(page: Page, address: str, title: str) -> None:
    page.goto(address)
    page.get_by_role("link", name="Job cards").first.click()
    page.get_by_role("link", name=title, exact=True).click()
    expect(page.get_by_role("heading", name=title)).to_be_visible()


def test_steps_joints_and_sign_off_by_tapping(own_demo_server: str, phone: Page) -> None:
    to_the_card(phone, own_demo_server, CARD)
    steps = phone.locator(".steps .tick")
    count = steps.count()
    assert count > 0
    for number in range(count):
        step = phone.locator(".steps .tick").nth(number)
        expect(step).to_have_attribute("aria-pressed", "false")
        box = step.bounding_box()
        assert box is not None
        assert box["height"] >= 48
        step.scroll_into_view_if_needed()
        before = phone.evaluate("scrollY")
        step.tap()
        expect(phone.locator(".steps .tick").nth(number)).to_have_attribute("aria-pressed", "true")
        assert abs(phone.evaluate("scrollY") - before) < 2, "the page jumped"
    joint = phone.locator("#joints li").filter(has_text="intake clamps").get_by_role("button", name="Torqued")
    joint.tap()
    expect(joint).to_have_attribute("aria-pressed", "true")
    expect(phone.locator("#foot")).to_contain_text("intake clamps: torqued")
    assert phone.get_by_role("link", name="Job cards").count() > 0
    phone.get_by_label("Signed off by").fill("Wen")
    phone.get_by_role("button", name="Sign off").tap()
    expect(phone.get_by_role("status").filter(has_text="Signed off by Wen.")).to_have_count(1)
    phone.get_by_role("link", name="Job cards").first.click()
    expect(phone.get_by_role("link", name=CARD, exact=True)).to_have_count(0)


def test_a_card_works_without_javascript(own_demo_server: str, browser: object) -> None:
    context = browser.new_context(java_script_enabled=False)  # type: ignore[attr-defined]
    page = context.new_page()
    to_the_card(page, own_demo_server, CARD)
    page.locator(".steps .tick").first.click()
    expect(page.locator(".steps .tick").first).to_have_attribute("aria-pressed", "true")
    context.close()
