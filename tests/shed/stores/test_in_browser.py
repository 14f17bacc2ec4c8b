"""Stores and labels in a real browser: the tree opens level by level, by finger and by key; labels by tick."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect


def test_the_tree_opens_level_by_level_on_the_phone(phone: Page, demo_server: str) -> None:
    phone.goto(f"{demo_server}/b/1/stores")
    shelf = phone.locator("li", has=phone.get_by_role("link", name="shelf A")).last
    expect(phone.get_by_role("link", name="box 2")).to_have_count(0)
    shelf.locator("summary").tap()
    expect(shelf.get_by_role("link", name=re.compile("^box 2"))).to_be_visible()
    box = shelf.locator("li", has=phone.get_by_role("link", name=re.compile("^box 2"))).last
    box.locator("summary").tap()
    expect(box.get_by_role("link", name=re.compile("^bag 4"))).to_be_visible()
    shelf.locator("summary").first.tap()
    expect(box.get_by_role("link", name=re.compile("^bag 4"))).not_to_be_visible()


def test_the_tree_opens_from_the_keyboard(laptop: Page, demo_server: str) -> None:
    laptop.goto(f"{demo_server}/b/1/stores")
    shelf = laptop.locator("li", has=laptop.get_by_role("link", name="shelf B")).last
    shelf.get_by_role("link", name=re.compile("^shelf B")).focus()
    laptop.keyboard.press("Tab")
    laptop.keyboard.press("Enter")
    expect(shelf.get_by_role("link", name=re.compile("^box 4"))).to_be_visible()


def test_ticked_things_get_labels(phone: Page, demo_server: str) -> None:
    phone.goto(f"{demo_server}/b/1/stores?mark=box 5")
    expect(phone.get_by_role("heading", name="brakes")).to_be_visible()
    for name in ("front brake pads", "caliper bolts"):
        phone.get_by_role("checkbox", name=name).check()
    phone.get_by_role("button", name="Labels for the ticked ones").tap()
    expect(phone.get_by_text("2 labels")).to_be_visible()
    picture = phone.get_by_role("img", name="Sheet 1")
    picture.scroll_into_view_if_needed()
    expect(picture).to_have_js_property("complete", True)
    assert picture.evaluate("image => image.naturalWidth") > 0
    phone.get_by_label("Begin at label").fill("5")
    phone.get_by_role("button", name="Show the labels").tap()
    expect(phone.get_by_label("Begin at label")).to_have_value("5")
    expect(phone.get_by_text("2 labels")).to_be_visible()


@pytest.mark.parametrize(
    "address",
    [
        "/b/1/stores",
        "/b/1/stores?mark=box",
        "/s/1",
        "/s/18?q=brake",
        "/b/1/labels",
        "/b/1/labels?in=18&q=bag",
        "/b/1/labels?all_tags=1&stock=tape-12&start=x",
    ],
)
def test_nothing_keeps_anybody_out(laptop: Page, demo_server: str, address: str) -> None:
    laptop.goto(f"{demo_server}{address}")
    found = Axe().run(laptop).response["violations"]
    grave = [(rule["id"], rule["nodes"][0]["html"]) for rule in found if rule["impact"] in ("serious", "critical")]
    assert not grave
