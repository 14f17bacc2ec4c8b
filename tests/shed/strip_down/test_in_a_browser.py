"""The strip-down at the bike, on a phone: a part comes off, its photo is taken, a tap points at it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.shed.penhallow import picture


def test_a_part_comes_off_and_its_photo_points_at_it(own_demo_server: str, phone: Page, tmp_path: Path) -> None:
    taken = tmp_path / "petcock.jpg"
    taken.write_bytes(picture(70, (1200, 900)))
    phone.goto(f"{own_demo_server}/b/1/strip-down")
    phone.get_by_label("What came off").fill("steering damper knob")
    phone.get_by_role("button", name="Came off").tap()
    expect(phone.get_by_role("status")).to_contain_text("steering damper knob")
    phone.locator("p", has_text="Last off").get_by_role("link").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("steering damper knob")

    phone.get_by_role("link", name="Take a photo of it").tap()
    phone.get_by_label("Take one with the camera").set_input_files(taken)
    phone.get_by_role("button", name="Keep").tap()
    expect(phone.get_by_label("Points at")).to_have_value(re.compile(r"steering damper knob \[p/\d+\]"))
    shot = phone.locator("#picture img")
    assert shot.evaluate("image => image.decode().then(() => image.naturalWidth)") == 1200
    frame = shot.bounding_box()
    assert frame is not None
    shot.tap(position={"x": frame["width"] / 4, "y": frame["height"] / 2})
    phone.get_by_role("button", name="Put the balloon there").tap()

    balloon = phone.locator("#picture a.balloon")
    expect(balloon).to_have_text("1")
    where = balloon.bounding_box()
    frame = shot.bounding_box()
    assert where is not None
    assert frame is not None
    assert where["x"] + where["width"] / 2 == pytest.approx(frame["x"] + frame["width"] / 4, abs=2)
    assert where["y"] + where["height"] / 2 == pytest.approx(frame["y"] + frame["height"] / 2, abs=2)
    balloon.tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("steering damper knob")
    phone.get_by_role("button", name="Goes back on").tap()
    expect(phone.get_by_role("status").first).to_contain_text("fitted")


def test_what_a_photo_shows_is_named_by_a_tap_and_a_few_letters(own_demo_server: str, phone: Page) -> None:
    phone.goto(f"{own_demo_server}/ph/1")
    balloons = phone.locator("#picture a.balloon")
    before = balloons.count()
    phone.locator("#picture img").tap(position={"x": 40, "y": 30})
    expect(phone.get_by_label("Points at")).to_be_focused()
    phone.keyboard.type("starter m")
    first = phone.locator("#offered button[name=target]").first
    expect(first).to_contain_text("tarter")
    frame = first.bounding_box()
    assert frame is not None
    assert frame["height"] >= 48
    first.tap()
    expect(balloons).to_have_count(before + 1)

    phone.locator("#balloons li").last.get_by_role("link", name="Point anew").tap()
    phone.get_by_label("Points at").fill("dented bracket")
    phone.get_by_role("button", name="A new part: “dented bracket”").tap()
    expect(phone.locator("#balloons li").last).to_contain_text("dented bracket")
    expect(balloons).to_have_count(before + 1)


def test_a_balloon_without_javascript(own_demo_server: str, browser: Browser) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{own_demo_server}/ph/1")
    before = page.locator("#picture a.balloon").count()
    page.get_by_label("From the left, in per cent").fill("40")
    page.get_by_label("From the top, in per cent").fill("60")
    page.get_by_label("Or a remark").fill("bracket bent here")
    page.get_by_role("button", name="Put the balloon there").click()
    expect(page.locator("#picture a.balloon")).to_have_count(before + 1)
    expect(page.locator("#balloons")).to_contain_text("bracket bent here")
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1366])
def test_nothing_is_wider_than_the_screen(demo_server: str, browser: Browser, width: int, scheme: str) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    for address in (
        "/b/1/strip-down",
        "/b/1/strip-down?show=fasteners",
        "/b/1/strip-down?show=tags",
        "/p/78",
        "/f/1",
        "/w/18",
        "/w/18/edit",
        "/ph/1",
        "/b/1/stores",
        "/s/2",
        "/b/1/readings",
        "/r/37",
        "/l/1",
        "/b/1/readings/new",
    ):
        page.goto(demo_server + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
    context.close()


def test_the_table_of_readings_prints_whole_on_a4(demo_server: str, browser: Browser) -> None:
    """A4 less the page's margins of 16 mm is 178 mm, 673 CSS pixels."""
    context = browser.new_context(viewport={"width": 673, "height": 900})
    page = context.new_page()
    page.emulate_media(media="print")
    page.goto(f"{demo_server}/b/1/readings")
    sheet = page.locator("main").bounding_box()
    assert sheet is not None
    for table in page.locator("table").all():
        frame = table.bounding_box()
        assert frame is not None
        assert frame["x"] + frame["width"] <= sheet["x"] + sheet["width"] + 1
    context.close()
