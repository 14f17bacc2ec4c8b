"""Every page of the demo, at phone and laptop size, light and dark: axe finds nothing serious, every control has its
label and is reached with the keyboard, and where the focus is can be seen."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, Page

from tests.conftest import a_page
from tests.demo_records import demo_records
from tests.every_page import every_page
from tests.serving import LAPTOP, PHONE
from tickover.planning.card_templates import all_templates

AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
FURTHER = [
    "/b/1/strip-down?show=fasteners", "/b/1/strip-down?show=tags", "/b/1/strip-down?show=tags&tags=one_end",
    "/b/1/strip-down?show=photos", "/b/1/job-cards?show=chapters", "/b/1/job-cards?show=done",
    "/b/1/find?q=carburretor", "/b/1/plan?milestone=road-ready",
]  # fmt: skip
"""What a page shows when it is asked for something else."""

_CHECK = """async (rules) => {
  const found = await axe.run(document, {resultTypes: ["violations"], ...rules});
  return found.violations
    .filter(one => one.impact === "serious" || one.impact === "critical")
    .flatMap(one => one.nodes.map(node => `${one.id} at ${node.target}: ${node.failureSummary}`));
}"""

_LABELS = """() => [...document.querySelectorAll("input:not([type=hidden]), select, textarea, button")]
  .filter(one => !(one.labels?.length && [...one.labels].some(label => label.textContent.trim()))
                 && !one.getAttribute("aria-label") && !(one.tagName === "BUTTON" && one.textContent.trim()))
  .map(one => `no label: ${one.outerHTML.slice(0, 120)}`)"""

# Whatever can be pressed must be a control; each control shows the focus that the keyboard gives it.
_KEYBOARD = """() => {
  const wrong = [];
  const controls = document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary");
  for (const one of controls) {
    if (one.disabled || !one.checkVisibility({visibilityProperty: true})) continue;
    if (one.tabIndex !== 0) wrong.push(`out of the tab order: ${one.outerHTML.slice(0, 120)}`);
    one.focus({focusVisible: true, preventScroll: true});
    if (document.activeElement !== one) { wrong.push(`takes no focus: ${one.outerHTML.slice(0, 120)}`); continue; }
    const style = getComputedStyle(one);
    if ((style.outlineStyle === "none" || parseFloat(style.outlineWidth) === 0) && style.boxShadow === "none")
      wrong.push(`shows no focus: ${one.outerHTML.slice(0, 120)}`);
  }
  for (const one of document.querySelectorAll("[onclick], [tabindex]:not([tabindex='0']):not([tabindex='-1'])"))
    wrong.push(`pressed by mouse only: ${one.outerHTML.slice(0, 120)}`);
  return wrong;
}"""


@pytest.fixture(scope="module")
def addresses(demo_home: Path, demo_server: str) -> list[str]:
    """What opens as a page; what only a press of a button reaches refuses, and some lead on to another page."""
    texts = {"sheet": "chassis.trail", "template": next(iter(all_templates())), "pattern": "bores"}
    pages = [*every_page(demo_records(demo_home) | texts).values(), *FURTHER]
    found = {}
    for address in pages:
        try:
            with urlopen(demo_server + address, timeout=30) as answer:
                if answer.headers.get_content_type() == "text/html":
                    found[answer.url.removeprefix(demo_server)] = True
        except HTTPError as problem:
            if problem.code != 405:
                raise AssertionError(f"{address} answers {problem.code}") from problem
    assert len(found) > 90
    return list(found)


def test_axe_finds_nothing_serious(browser: Browser, demo_server: str, addresses: list[str]) -> None:
    wrong = []
    with a_page(browser, PHONE, has_touch=True, color_scheme="light") as page:
        page.add_init_script(AXE)
        for address in addresses:
            page.set_viewport_size(PHONE)  # type: ignore[arg-type]
            page.goto(demo_server + address, wait_until="domcontentloaded")
            for size in (PHONE, LAPTOP):
                page.set_viewport_size(size)  # type: ignore[arg-type]
                found = [*page.evaluate(_CHECK, {}), *page.evaluate(_LABELS), *page.evaluate(_KEYBOARD)]
                page.emulate_media(color_scheme="dark")
                found += [f"dark: {says}" for says in page.evaluate(_CHECK, {"runOnly": ["color-contrast"]})]
                page.emulate_media(color_scheme="light")
                wrong += [f"{address}, {size['width']} wide: {says}" for says in found]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    "address", ["/b/1", "/b/1/strip-down", "/p/1", "/j/1", "/b/1/readings/new", "/b/1/find?q=starter"]
)
def test_the_tab_key_reaches_every_control_and_leaves_the_page(laptop: Page, demo_server: str, address: str) -> None:
    laptop.goto(demo_server + address)
    laptop.evaluate(
        """() => { window.reached = new Set(); window.controls = [...document.querySelectorAll(
             "a[href], button, input:not([type=hidden]), select, textarea, summary")]
             .filter(one => !one.disabled && one.checkVisibility({visibilityProperty: true})); }"""
    )
    for _ in range(400):
        laptop.keyboard.press("Tab")
        if laptop.evaluate(
            "() => { reached.add(document.activeElement); return document.activeElement === document.body; }"
        ):
            break
    missed = laptop.evaluate("() => controls.filter(one => !reached.has(one)).map(one => one.outerHTML.slice(0, 120))")
    assert missed == []


def test_the_checks_see_what_is_wrong(laptop: Page) -> None:
    laptop.set_content(
        '<html lang="en"><title>A page</title><main><h1>A page</h1><input><a href="#x" tabindex="-1">away</a>'
        '<style>button:focus { outline: none }</style><button>press</button><p style="color:#ccc">pale</p></main>'
    )
    laptop.evaluate(AXE)
    found = " ".join(laptop.evaluate(_CHECK, {}) + laptop.evaluate(_LABELS) + laptop.evaluate(_KEYBOARD))
    for says in (
        "label at",
        "color-contrast at",
        "no label: <input>",
        "out of the tab order: <a",
        "shows no focus: <button",
    ):
        assert says in found
