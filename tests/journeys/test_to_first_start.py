"""From the bench to the first start, on a phone, with a bike that has both planted faults.

The bike answers every test from a simulation of its own with the faults in it; the page is only told what a meter, an
eye or a nose would tell.
"""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest
from playwright.sync_api import Page, expect

from tickover.chapters.electrics.loom.document import read
from tickover.faultfinding.simulate import Answering

MOST_READINGS = 7
PLANTED = tomllib.loads((files("tickover.records.demo") / "data" / "planted.toml").read_text("utf-8"))


def tap_through(page: Page, bike: Answering) -> tuple[int, int]:
    """Answer each question as ``bike`` would until the search stops; how many readings, and how many were kept."""
    page.wait_for_url("**/q/*")
    kept = page.locator("ol.list > li").count()
    for taken in range(20):
        if page.get_by_role("heading", name="Found").count():
            return taken, kept
        test = page.locator(".answers input[name=test]").get_attribute("value")
        assert test, page.content()
        value = bike.value(test)
        buttons = page.locator(".answers button[name=value]")
        offered = [buttons.nth(k).get_attribute("value") or "" for k in range(buttons.count())]
        assert offered
        if value not in offered:
            number = float(value)
            value = min(offered, key=lambda text: abs(float(text) - number) if text != "OL" else 1e9)
            assert abs(float(value) - number) < 0.6, f"{test}: {number} is none of {offered}"
        target = page.locator(f'.answers button[name=value][value="{value}"]')
        box = target.bounding_box()
        assert box
        assert box["height"] >= 48
        with page.expect_navigation():
            target.tap()
    raise AssertionError("the search does not end")


@pytest.mark.parametrize("begin", ["cranks and does not fire", "no plug sparks"])
def test_both_planted_faults_are_found_and_the_first_start_is_reached(
    own_demo_server: str, phone: Page, begin: str
) -> None:
    phone.goto(own_demo_server)
    loom = read(phone.request.get(re.sub(r"(/b/\d+).*", r"\1", phone.url) + "/loom/document.json").json())
    electrical, behind = PLANTED["first"], PLANTED["behind"]

    phone.get_by_role("link", name="Fault-finding").first.tap()
    phone.get_by_role("button", name=begin).first.tap()
    taken, kept = tap_through(phone, Answering(loom, [electrical, behind]))
    assert kept <= 1  # that it cranks is said with the complaint
    assert taken <= MOST_READINGS
    found = phone.locator("p.lead").first.inner_text().lower()
    assert electrical.partition(":")[2].replace(".", " ").lower() in found
    print(f"{begin}: {taken} readings to {found}")

    phone.get_by_role("button", name="It is mended").tap()
    if "spark" in begin:
        phone.get_by_role("button", name="Cured").tap()
        phone.get_by_role("link", name="Fault-finding").first.tap()
        phone.get_by_role("button", name="cranks and does not fire").first.tap()
    else:
        phone.get_by_role("button", name="It is still the same").tap()
    taken, kept = tap_through(phone, Answering(loom, [behind]))
    assert taken <= MOST_READINGS
    assert "filter" in phone.locator("p.lead").first.inner_text()
    print(f"behind it: {taken} readings, {kept} kept")

    phone.get_by_role("button", name="It is mended").tap()
    phone.get_by_role("button", name="Cured").tap()
    phone.get_by_role("link", name="To the bench").tap()
    expect(phone.locator("#next")).to_contain_text("first start reached")
