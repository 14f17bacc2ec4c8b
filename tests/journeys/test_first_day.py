"""Somebody with a bike of their own and an empty workshop: the first hour, on a phone, in a real browser."""

from __future__ import annotations

import io

from PIL import Image
from playwright.sync_api import Page, expect


def jpeg() -> bytes:
    out = io.BytesIO()
    picture = Image.new("RGB", (1200, 900), (150, 140, 120))
    exif = Image.Exif()
    exif[0x0132] = "2026:11:20 19:30:00"
    picture.save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_from_an_empty_workshop_to_the_first_handover(empty_server: str, phone: Page) -> None:
    phone.goto(empty_server)
    expect(phone.get_by_role("heading", name="A new build")).to_be_visible()
    phone.get_by_role("button", name="Go on").tap()
    expect(phone.get_by_role("alert").first).to_be_visible()

    phone.get_by_label("Which bike is it?").fill("Penhallow Heron 450")
    phone.get_by_label("Your name").fill("Wen")
    phone.get_by_role("button", name="Go on").tap()
    phone.get_by_label("Places, one a line").fill("Shelf A\nBox 1")
    phone.get_by_label("Parts that are off the bike").fill("Left side cover, Box 1\nStarter, Shelf A")
    phone.get_by_role("button", name="Keep and start the first stint").tap()
    phone.get_by_label("What is this stint for?").fill("Strip-down begins")
    phone.get_by_role("button", name="Start", exact=True).tap()
    expect(phone.get_by_text("The stint has started")).to_be_visible()

    phone.get_by_role("navigation").get_by_role("link", name="Strip-down").tap()
    expect(phone.get_by_role("link", name="Left side cover").first).to_be_visible()
    build = phone.url.partition("/strip-down")[0]
    phone.goto(f"{build}/photos/new")
    phone.set_input_files("input[type=file]", [{"name": "left.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}])
    phone.locator("main form button.main").first.tap()
    expect(phone.locator("main img").first).to_be_visible()

    phone.goto(build)
    phone.get_by_role("link", name="End the stint").tap()
    phone.get_by_label("Where did it stop?").fill("Left cover off, starter on the shelf.")
    phone.get_by_label("What is next?").fill("Exhaust off.")
    phone.get_by_label("What is not safe yet?").fill("Fuel in the tank.")
    phone.get_by_role("button", name="Leave the handover").tap()
    stopped = phone.locator("#stopped")
    for said in ("Left cover off, starter on the shelf.", "Exhaust off.", "Fuel in the tank.", "Wen"):
        expect(stopped).to_contain_text(said)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_what_was_typed_stays_when_something_is_wrong(empty_server: str, phone: Page) -> None:
    phone.goto(f"{empty_server}/start")
    phone.get_by_label("What is it to become?").fill("A light road bike")
    phone.get_by_role("button", name="Go on").tap()
    expect(phone.get_by_label("What is it to become?")).to_have_value("A light road bike")
    expect(phone.get_by_role("alert").first).to_be_visible()
