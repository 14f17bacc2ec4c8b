"""Photo to filed photo in two taps, in a real browser at phone size; twenty at once; and what is no photo."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.shed.penhallow import picture


def choose(page: Page, *files: Path) -> None:
    """The first tap opens the chooser, the second chooses; nothing else is pressed."""
    with page.expect_file_chooser() as opened:
        page.get_by_text("Photo", exact=True).last.tap()
    opened.value.set_files(list(files))


def shots(folder: Path, count: int) -> list[Path]:
    paths = [folder / f"shot {number}.jpg" for number in range(count)]
    for number, path in enumerate(paths):
        path.write_bytes(picture(40 + 5 * number, (800 + number, 600)))
    return paths


def test_two_taps(own_demo_server: str, phone: Page, tmp_path: Path) -> None:
    phone.goto(f"{own_demo_server}/b/1")
    choose(phone, *shots(tmp_path, 1))
    says = phone.locator(".photo-says")
    expect(says).to_contain_text("Kept: photo")
    says.get_by_role("link").tap()
    expect(phone.locator("#picture img")).to_be_visible()
    assert phone.locator("#picture img").evaluate("image => image.decode().then(() => image.naturalWidth)") == 800


def test_a_photo_of_the_part_whose_page_it_was_taken_on(own_demo_server: str, phone: Page, tmp_path: Path) -> None:
    phone.goto(f"{own_demo_server}/p/78")
    name = phone.get_by_role("heading", level=1).inner_text()
    choose(phone, *shots(tmp_path, 1))
    phone.locator(".photo-says").get_by_role("link").tap()
    expect(phone.locator("#balloons")).to_contain_text(name)


def test_twenty_at_once_with_their_progress(own_demo_server: str, phone: Page, tmp_path: Path) -> None:
    phone.goto(f"{own_demo_server}/b/1/strip-down?show=photos")
    phone.evaluate(
        """() => {
          window.said = [];
          const line = document.querySelector(".photo-says");
          new MutationObserver(() => window.said.push(line.textContent)).observe(line, { childList: true });
        }"""
    )
    choose(phone, *shots(tmp_path, 20))
    expect(phone.locator(".photo-says")).to_contain_text("20 photos kept.", timeout=60_000)
    said = phone.evaluate("window.said")
    assert any("Sending 7 of 20" in line for line in said), said
    assert any("Sending 20 of 20" in line for line in said)


def test_what_is_no_photo_is_said_at_the_control(own_demo_server: str, phone: Page, tmp_path: Path) -> None:
    notes = tmp_path / "notes.jpg"
    notes.write_text("only words")
    large = tmp_path / "film.jpg"
    with large.open("wb") as file:
        file.truncate(61 * 2**20)
    phone.goto(f"{own_demo_server}/b/1")
    choose(phone, notes, large, *shots(tmp_path, 1))
    says = phone.locator(".photo-says")
    expect(says).to_contain_text("Kept: photo")
    expect(says).to_contain_text("“notes.jpg” is not a whole picture")
    expect(says).to_contain_text("“film.jpg” is larger than 60 MB; send it smaller.")


def test_without_javascript_it_is_a_link_to_the_page_for_photos(demo_server: str, browser: Browser) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{demo_server}/p/78")
    page.get_by_role("link", name="Photo", exact=True).click()
    expect(page.get_by_role("heading", name="Photos")).to_be_visible()
    expect(page.locator("input[name=target]")).to_have_value("part:78")
    context.close()


@pytest.mark.parametrize("size", [(390, 844), (1366, 768)])
def test_while_a_stint_runs_the_control_is_large_and_in_view(
    own_demo_server: str, browser: Browser, size: tuple[int, int]
) -> None:
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    page.goto(f"{own_demo_server}/b/1/strip-down")
    before = page.locator("#photo-now label").bounding_box()
    assert before is not None
    assert before["y"] > size[1], "without a stint it stands at the foot and covers nothing"
    page.goto(f"{own_demo_server}/b/1/stints/start")
    page.get_by_role("button", name="Start", exact=True).click()
    page.goto(f"{own_demo_server}/b/1/strip-down")
    box = page.locator("#photo-now label").bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 48
    assert box["y"] + box["height"] <= size[1]
    page.locator("#photo-now input").focus()
    expect(page.locator("#photo-now input")).to_be_focused()
    with page.expect_file_chooser():
        page.keyboard.press("Enter")
    context.close()
