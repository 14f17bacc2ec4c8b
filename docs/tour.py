"""Takes the README's pictures (``make tour``): a demo of its own, served and walked through, on laptop and phone."""

from __future__ import annotations

import sys
import tempfile
import tomllib
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright
from tests.serving import CHROMIUM, CHROMIUM_ARGUMENTS, LAPTOP, PHONE, served

from tickover.chapters.electrics.loom.document import read
from tickover.faultfinding.simulate import Answering

PICTURES = Path(__file__).with_name("pictures")
DEMO = PICTURES.parent.parent / "src" / "tickover" / "records" / "demo"
PLANTED = tomllib.loads((DEMO / "data" / "planted.toml").read_text("utf-8"))


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "workshop"
        home.mkdir()
        with served(home, "--demo") as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGUMENTS)
            laptop(browser, address)
            phone(browser, address)
            browser.close()


def take(page: Page, name: str) -> None:
    page.wait_for_load_state("networkidle")
    page.screenshot(path=PICTURES / f"{name}.png")
    print(name, file=sys.stderr)


def laptop(browser: Browser, address: str) -> None:
    page = browser.new_page(viewport=LAPTOP)
    page.goto(address)
    take(page, "bench")
    page.get_by_role("link", name="The whole way to").click()
    take(page, "plan")
    page.get_by_role("navigation").get_by_role("link", name="Loom").click()
    page.get_by_label("KEY").select_option("on")
    page.wait_for_load_state("networkidle")
    take(page, "loom")
    page.goto(f"{address}/b/1/sheets/chassis.trail?rake=27°&offset=55 ± 0.5 mm&front_radius=305 mm")
    take(page, "sheet")
    page.get_by_role("navigation").get_by_role("link", name="Readings").click()
    take(page, "readings")


def phone(browser: Browser, address: str) -> None:
    page = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True).new_page()
    page.goto(f"{address}/b/1/find?q=tag+17")
    with page.expect_navigation():
        page.locator("main li a").first.tap()
    take(page, "tag")
    page.goto(f"{address}/ph/3")
    take(page, "photo")
    page.goto(f"{address}/f/3/tighten")
    take(page, "joint")
    page.goto(f"{address}/b/1/fault-finding")
    loom = read(page.request.get(f"{address}/b/1/loom/document.json").json())
    bike = Answering(loom, [PLANTED["first"], PLANTED["behind"]])
    page.get_by_role("button", name="cranks and does not fire").first.tap()
    for _ in range(2):
        test = page.locator(".answers input[name=test]").get_attribute("value") or ""
        value = bike.value(test)
        offered = page.locator(".answers button[name=value]")
        values = [offered.nth(k).get_attribute("value") or "" for k in range(offered.count())]
        if value not in values:
            number = float(value)
            value = min(values, key=lambda text: abs(float(text) - number) if text != "OL" else 1e9)
        with page.expect_navigation():
            page.locator(f'.answers button[value="{value}"]').tap()
    take(page, "fault-finding")


if __name__ == "__main__":
    main()
