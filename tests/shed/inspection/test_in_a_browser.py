"""An inspection on a phone: six bores, one a screen, typed and gone on; then its table, and its form in print."""

from __future__ import annotations

from playwright.sync_api import Page, expect

SIX = ("67.14", "67.04", "67.05", "67.03", "67.03", "67.02")


def test_six_bores_on_the_phone(own_demo_server: str, phone: Page) -> None:
    phone.goto(f"{own_demo_server}/b/1/inspections")
    phone.get_by_role("link", name="Cylinder bores").click()
    phone.get_by_label("Which ones: each cylinder").fill("1")
    phone.get_by_role("button", name="Begin it").click()
    table = phone.url
    phone.get_by_role("link", name="Take the readings").click()
    places = [f"bore, {height}, {way}" for height in ("top", "middle", "bottom") for way in ("across", "along")]
    for number, (place, typed) in enumerate(zip(places, SIX, strict=True)):
        expect(phone.get_by_role("heading", level=1)).to_have_text(place)
        reading = phone.get_by_label("Reading, in mm or any unit")
        expect(reading).to_be_focused()
        reading.fill(typed)
        read_with = phone.get_by_label("Read with")
        if number == 0:
            read_with.select_option("bore_gauge")
        expect(read_with).to_have_value("bore_gauge")
        button = phone.get_by_role("button", name="Next")
        assert (button.bounding_box() or {})["height"] >= 48
        reading.press("Enter")
    expect(phone).to_have_url(table)
    rows = phone.locator("table.standing tbody tr")
    expect(rows).to_have_count(6)
    expect(rows.first).to_contain_text("bore, top, across")
    expect(rows.first).to_contain_text("outside")
    expect(phone.locator("#worked-out")).to_contain_text("0.100 ± 0.009 mm")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    phone.get_by_role("button", name="Add all of it").click()
    expect(phone.locator("#adds")).to_contain_text("Job: Put right: cylinder block")
    expect(phone.locator("#adds")).to_contain_text("to do: replace")
    expect(phone.get_by_role("button", name="Add all of it")).to_have_count(0)


def test_a_wrong_figure_stays_to_be_corrected(own_demo_server: str, phone: Page) -> None:
    phone.goto(f"{own_demo_server}/b/1/inspections/begin/bores")
    phone.get_by_role("button", name="Begin it").click()
    phone.get_by_role("link", name="Take the readings").click()
    phone.get_by_label("Reading, in mm or any unit").fill("6x")
    phone.get_by_role("button", name="Next").click()
    expect(phone.locator(".wrong")).to_have_count(1)
    expect(phone.get_by_label("Reading, in mm or any unit")).to_have_value("6x")
    phone.get_by_role("link", name="Skip it").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("left bore, top, along")


def test_the_form_prints_on_one_page_of_either_paper(own_demo_server: str, laptop: Page) -> None:
    laptop.goto(f"{own_demo_server}/b/1/inspections/begin/bores")
    laptop.get_by_role("button", name="Begin it").click()
    laptop.goto(f"{laptop.url}/form?blank")
    for paper in ("A4", "Letter"):
        pdf = laptop.pdf(format=paper)
        assert pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") + pdf.count(b"/Type /Page/") == 1
    laptop.emulate_media(media="print")
    assert not laptop.get_by_role("link", name="Back to the inspection").is_visible()
    assert laptop.locator("td.to-write").count() == 12


def test_a_round_goes_on_without_a_connection(own_demo_server: str, phone: Page) -> None:
    phone.goto(f"{own_demo_server}/b/1/inspections/begin/bores")
    phone.get_by_label("Which ones: each cylinder").fill("1")
    phone.get_by_role("button", name="Begin it").click()
    table = phone.url
    phone.get_by_role("link", name="Take the readings").click()
    kept = "caches.match(location.href.replace(/1$/, 6)).then(Boolean)"
    for _ in range(60):
        if phone.evaluate(kept):
            break
        phone.wait_for_timeout(250)
    assert phone.evaluate(kept)
    phone.context.set_offline(True)
    for number, place in enumerate(("bore, top, across", "bore, top, along"), start=1):
        expect(phone.get_by_role("heading", level=1)).to_have_text(place)
        phone.get_by_label("Reading, in mm or any unit").fill("67.05 mm")
        phone.get_by_role("button", name="Next").click()
        expect(phone.locator("#outbox")).to_contain_text(f"{number} kept on this phone")
        phone.get_by_role("link", name="Skip it").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("bore, middle, across")
    phone.context.set_offline(False)
    phone.goto(table)
    expect(phone.locator("#outbox")).to_be_hidden(timeout=15_000)
    phone.goto(table)
    expect(phone.locator("main")).to_contain_text("4 not measured, 2 inside")
