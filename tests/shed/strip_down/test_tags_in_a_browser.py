"""Wire tags in a real browser: twenty at the bike on the phone, and a connector with nothing but the keyboard."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

TWENTY = [("GN/YE" if number % 2 else "RD/BK", f"lamp {number}") for number in range(20)]


def test_twenty_tags_on_the_phone(own_demo_server: str, phone: Page) -> None:
    phone.goto(f"{own_demo_server}/b/1/strip-down?show=tags")
    phone.get_by_role("link", name="Wire tags, many at once").tap()
    first = phone.get_by_label("Mark", exact=True).input_value()
    phone.get_by_label("Connector", exact=True).fill("blue plug")
    phone.get_by_label("Cavity", exact=True).fill("1")
    for number, (colours, function) in enumerate(TWENTY):
        row = phone.locator(f"#row-{number}")
        row.get_by_label("Colours").fill(colours)
        row.get_by_label("What it may be").fill(function)
        if number < 19:
            phone.get_by_role("button", name="Next wire").tap()
            expect(phone.locator(f"#row-{number + 1}").get_by_label("Colours")).to_be_focused()
            expect(phone.locator(f"#row-{number + 1}").get_by_label("Cavity")).to_have_value(str(number + 2))
    frame, screen = phone.locator("#row-19").bounding_box(), phone.viewport_size
    assert frame is not None
    assert screen is not None
    assert frame["height"] <= screen["height"], "one row is at most a screenful"
    for box in phone.locator("#row-19 input:visible").all():
        size = box.bounding_box()
        assert size is not None
        assert size["height"] >= 48
    phone.get_by_role("button", name="Write all down").tap()
    expect(phone.get_by_role("status").first).to_contain_text(f"20 wire tags, {first} to {int(first) + 19}")
    phone.goto(f"{own_demo_server}/b/1/find?q=lamp+19")
    expect(phone.locator("main")).to_contain_text(str(int(first) + 19))


def test_a_connector_with_the_keyboard_alone(own_demo_server: str, laptop: Page) -> None:
    laptop.goto(f"{own_demo_server}/b/1/wire-tags/many")
    keys = laptop.keyboard
    laptop.locator("[name='0-mark']").focus()
    keys.press("Control+a")
    keys.type("K1")
    for typed in ("GN/YE", "red plug", "1", "R1.nonsense plug", "flasher"):
        keys.press("Tab")
        keys.type(typed)
    keys.press("Enter")
    expect(laptop.locator("[name='1-colours']")).to_be_focused()
    expect(laptop.locator("[name='1-mark']")).to_have_value("K2")
    keys.type("MAUVE")
    keys.press("Enter")
    expect(laptop.locator("[name='2-colours']")).to_be_focused()
    keys.type("BK")
    keys.press("Shift+Tab")
    keys.type("61")  # on record: the page offers to join it
    keys.press("Tab")
    expect(laptop.locator("#offer-2")).to_contain_text("Tag 61 is on record")
    for _ in range(5):
        keys.press("Tab")
    expect(laptop.get_by_role("checkbox")).to_be_focused()
    keys.press("Space")
    for _ in range(2):
        keys.press("Tab")
    expect(laptop.get_by_role("button", name="Write all down")).to_be_focused()
    keys.press("Enter")
    expect(laptop.get_by_role("alert")).to_contain_text("MAUVE")
    expect(laptop.locator("[name='0-function']")).to_have_value("flasher")
    expect(laptop.get_by_role("checkbox")).to_be_checked()
    laptop.locator("[name='1-colours']").fill("VT")
    laptop.get_by_role("button", name="Write all down").focus()
    keys.press("Enter")
    expect(laptop.get_by_role("status").first).to_contain_text("3 wire tags, K1 to 61")


def test_without_javascript_rows_are_added_all_the_same(own_demo_server: str, browser: Browser) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{own_demo_server}/b/1/wire-tags/many")
    page.locator("[name='0-colours']").fill("GN")
    page.locator("[name='0-colours']").press("Enter")
    page.locator("[name='1-colours']").fill("BN")
    page.get_by_role("button", name="Write all down").click()
    expect(page.get_by_role("status").first).to_contain_text("2 wire tags, 73 to 74")
    context.close()


def test_a_relay_is_found_while_its_readings_are_typed(own_demo_server: str, laptop: Page) -> None:
    laptop.goto(f"{own_demo_server}/b/1/loom/relay-readings")
    for name, typed in (("1 to 2", "92"), ("3 to 4", "0.3")):
        laptop.get_by_label(name, exact=True).fill(typed)
    expect(laptop.locator("#pulled")).to_contain_text("Plus on pin 1")
    laptop.get_by_role("button", name="All others show OL").click()
    expect(laptop.get_by_label("3 to 5").first).to_have_value("OL")
    pulled = laptop.locator("#pulled")
    for name, typed in (("3 to 4", "OL"), ("3 to 5", "0.3"), ("4 to 5", "OL")):
        pulled.get_by_label(name, exact=True).fill(typed)
    expect(laptop.locator("#found")).to_contain_text("It is certain: changeover")
    expect(pulled.get_by_label("4 to 5", exact=True)).to_have_value("OL")
    laptop.get_by_label("Id of a new one").fill("R9")
    laptop.get_by_role("button", name="Write it into the loom").click()
    expect(laptop.locator("main")).to_contain_text("87a is pin 4")


PAGES = (
    "/b/1/wire-tags/many",
    "/b/1/wire-tags/many?mark=61",
    "/b/1/strip-down?show=tags&tags=one_end",
    "/b/1/strip-down?show=tags&tags=function",
    "/b/1/strip-down?show=tags&tags=colours",
    "/b/1/loom/relay-readings?pins=85+86+30+87&rest-0-1=85&rest-0-2=OL&rest-1-2=x",
    "/b/1/loom/switch-readings?pins=30+15+58+50+x&positions=off+park+on+start&read-0-0-1=9",
)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1366])
def test_nothing_is_wider_than_the_screen_and_every_input_has_a_label(
    demo_server: str, browser: Browser, width: int, scheme: str
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    for address in PAGES:
        page.goto(demo_server + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        unnamed = page.evaluate(
            "[...document.querySelectorAll('main input:not([type=hidden]), main select, main textarea')]"
            ".filter(one => !one.labels.length || ![...one.labels].some(label => label.textContent.trim()))"
            ".map(one => one.name)"
        )
        assert not unnamed, (address, unnamed)
    context.close()
