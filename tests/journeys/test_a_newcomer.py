"""What somebody who has never seen this build wants to know in the first minutes, from the demo's pages, on a phone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect


def look_for(page: Page, words: str) -> None:
    page.get_by_role("searchbox").fill(words)
    page.get_by_role("button", name="Find", exact=True).tap()


def test_where_is_the_left_side_cover(demo_server: str, phone: Page) -> None:
    phone.goto(demo_server)
    look_for(phone, "left side cover")
    line = phone.locator("li", has_text=re.compile("left side cover", re.I)).first
    place = line.get_by_role("link").nth(1)
    assert re.search(r"shelf|box|bag|hook|rack|crate", place.inner_text(), re.I)


def test_which_bolts_hold_the_starter_and_to_what_torque(demo_server: str, phone: Page) -> None:
    phone.goto(demo_server)
    look_for(phone, "starter bolts")
    line = phone.locator("li", has_text="N·m").first
    expect(line).to_contain_text("M6")
    line.get_by_role("link").first.tap()
    expect(phone.locator(".big").first).to_contain_text("N·m")


def test_what_was_the_last_thing_done(demo_server: str, phone: Page) -> None:
    phone.goto(demo_server)
    stopped = phone.locator("#stopped")
    expect(stopped).to_contain_text("Oct 2026")
    assert len(stopped.locator(".lead").inner_text()) > 60


def test_what_must_be_ordered(demo_server: str, phone: Page) -> None:
    phone.goto(demo_server)
    assert phone.locator("#in-the-way li", has_text="to order").count() >= 3


def test_what_is_only_finger_tight(demo_server: str, phone: Page) -> None:
    phone.goto(demo_server)
    assert phone.locator("#finger-tight tbody tr").count() >= 3


def test_what_does_wire_tag_17_join(demo_server: str, phone: Page) -> None:
    phone.goto(demo_server)
    look_for(phone, "tag 17")
    phone.get_by_role("link", name=re.compile("tag 17")).first.tap()
    ends = phone.locator("main").inner_text()
    assert len(re.findall(r"\b[A-Z][A-Z0-9]+\b[ .]\S+", ends)) >= 2


@pytest.mark.parametrize("size", [{"width": 1366, "height": 768}])
def test_the_bench_says_the_three_things_without_scrolling_on_a_laptop(
    demo_server: str, laptop: Page, size: dict[str, int]
) -> None:
    laptop.goto(demo_server)
    for heading in ("Where it stopped", "Next", "In the way"):
        box = laptop.get_by_role("heading", name=heading, exact=True).bounding_box()
        assert box
        assert box["y"] + box["height"] <= size["height"], heading
