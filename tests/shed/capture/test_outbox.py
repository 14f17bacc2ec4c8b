"""A phone with a bad network: what is written down is kept on it, counted, and sent once when the server is back."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Route, expect
from tests.serving import CHROMIUM, CHROMIUM_ARGUMENTS, PHONE, Server
from tests.shed.penhallow import picture

PHOTOS = 20
LONG = 60_000


@pytest.fixture
def server(demo_home: Path, tmp_path: Path) -> Iterator[Server]:
    home = tmp_path / "workshop"
    shutil.copytree(demo_home, home)
    server = Server(home)
    server.start()
    yield server
    server.stop()


@contextmanager
def a_phone(browser: Browser, profile: Path, *arguments: str) -> Iterator[BrowserContext]:
    """A phone's browser that keeps what it has in ``profile``, so that it can be switched off and on again."""
    context = browser.browser_type.launch_persistent_context(
        str(profile),
        executable_path=CHROMIUM,
        args=[*CHROMIUM_ARGUMENTS, *arguments],
        viewport=PHONE,
        has_touch=True,
        is_mobile=True,
    )
    context.set_default_timeout(20_000)
    yield context
    with suppress(Error):
        context.close()


def switch_off(profile: Path) -> None:
    """The browser is gone in the middle of everything, as when the phone's battery is empty."""
    os.kill(int(os.readlink(profile / "SingletonLock").rpartition("-")[2]), signal.SIGKILL)


def ask(server: Server, question: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(server.home / "workshop.sqlite3", timeout=20)) as database:
        return database.execute(question).fetchall()


def photos(server: Server) -> int:
    return int(str(ask(server, "select count(*) from records_photo")[0][0]))


def twice(server: Server) -> list[tuple[object, ...]]:
    return ask(server, "select sha256, count(*) from records_photo group by sha256 having count(*) > 1")


def pictures(folder: Path, count: int = PHOTOS) -> list[Path]:
    folder.mkdir()
    files = [folder / f"taken-{number}.jpg" for number in range(count)]
    for number, file in enumerate(files):
        file.write_bytes(picture(number * 12, (640 + number, 480)))
    return files


def ready(page: Page, address: str) -> None:
    """The page open, the worker in charge of it, and its copy kept."""
    page.goto(address)
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.wait_for_function(
        "async () => (await Promise.all((await caches.keys()).map(async (name) => "
        "(await (await caches.open(name)).keys()).some((one) => one.url === location.href)))).some(Boolean)"
    )


def take(page: Page, files: list[Path]) -> None:
    """Choose pictures at the page's own control, and wait until all are safe on the phone."""
    page.evaluate(
        "() => { window.safe = 0; document.addEventListener('outbox', "
        "({ detail }) => { safe += detail.state === 'kept'; }); }"
    )
    page.locator("#photo-now input[type=file]").set_input_files(files)
    page.wait_for_function("count => safe === count", arg=len(files), timeout=LONG)


def all_sent(page: Page) -> None:
    expect(page.locator("#outbox")).to_be_hidden(timeout=LONG)


def test_twenty_photos_with_the_server_stopped(browser: Browser, server: Server, tmp_path: Path) -> None:
    files = pictures(tmp_path / "pictures")
    before = photos(server)
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/strip-down")
        server.stop()
        take(page, files)
        expect(page.locator("#outbox")).to_have_text("20 kept on this phone, not sent yet", timeout=LONG)
        assert photos(server) == before
        server.start()
        page.goto(f"{server.address}/b/1")
        all_sent(page)
    assert photos(server) == before + PHOTOS
    assert twice(server) == []


def test_the_browser_is_killed_while_photos_wait(browser: Browser, server: Server, tmp_path: Path) -> None:
    files = pictures(tmp_path / "pictures")
    before = photos(server)
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/strip-down")
        server.stop()
        take(page, files)
        expect(page.locator("#outbox")).to_have_text("20 kept on this phone, not sent yet", timeout=LONG)
        switch_off(tmp_path / "phone")
    shutil.rmtree(tmp_path / "pictures")
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        page.goto(f"{server.address}/kept")
        expect(page.locator("#outbox")).to_have_text("20 kept on this phone, not sent yet")
        expect(page.locator("ul.kept li")).to_have_count(PHOTOS)
        server.start()
        page.get_by_role("button", name="Send now").tap()
        all_sent(page)
    assert photos(server) == before + PHOTOS
    assert twice(server) == []


def test_the_server_is_killed_in_the_middle(browser: Browser, server: Server, tmp_path: Path) -> None:
    files = pictures(tmp_path / "pictures")
    before = photos(server)
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/strip-down")
        take(page, files)
        for _ in range(3):
            reached = photos(server)
            while photos(server) == reached and reached < before + PHOTOS:
                time.sleep(0.005)
            server.kill()
            server.start()
            page.evaluate("void outbox.send()")
        page.reload()
        all_sent(page)
    assert photos(server) == before + PHOTOS
    assert twice(server) == []


def test_the_browser_is_killed_in_the_middle_of_sending(browser: Browser, server: Server, tmp_path: Path) -> None:
    files = pictures(tmp_path / "pictures")
    before = photos(server)
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/strip-down")
        take(page, files)
        while photos(server) < before + 3:
            time.sleep(0.005)
        switch_off(tmp_path / "phone")
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        page.goto(f"{server.address}/b/1")
        all_sent(page)
    assert photos(server) == before + PHOTOS
    assert twice(server) == []


def test_an_answer_that_is_lost_on_the_way(browser: Browser, server: Server, tmp_path: Path) -> None:
    """The server has written it, the phone does not hear so: it sends again, and it is there once."""
    [file] = pictures(tmp_path / "pictures", 1)
    before = photos(server)
    lost = []

    def lose(route: Route) -> None:
        lost.append(route.fetch().status)
        route.abort()

    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/strip-down")
        page.route("**/photos/one", lose, times=2)
        page.route("**/receive", lose, times=2)
        take(page, [file])
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet")
        while not lost:
            page.wait_for_timeout(50)
        assert photos(server) == before + 1
        page.evaluate("outbox.send()")
        page.evaluate("outbox.send()")
        all_sent(page)
        assert lost == [200, 200]
        lost.clear()

        readings = ask(server, "select count(*) from records_reading")
        page.goto(f"{server.address}/b/1/readings/new")
        fill_reading(page, "61.24 mm")
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet")
        expect(page.locator(".kept-note")).to_contain_text("not sent yet")
        page.evaluate("outbox.send()")
        page.evaluate("outbox.send()")
        all_sent(page)
        assert lost == [200, 200]
    assert photos(server) == before + 1
    assert ask(server, "select count(*) from records_reading") == [(int(str(readings[0][0])) + 1,)]


def fill_reading(page: Page, typed: str, what: str = "piston skirt") -> None:
    page.get_by_label("Kind of quantity").select_option("length")
    page.get_by_label("What", exact=False).first.fill(what)
    page.get_by_label("Reading", exact=False).first.fill(typed)
    page.get_by_role("button", name="Reading taken").tap()


def test_two_pages_open_at_once(browser: Browser, server: Server, tmp_path: Path) -> None:
    files = pictures(tmp_path / "pictures")
    before = photos(server)
    with a_phone(browser, tmp_path / "phone") as phone:
        page, other = phone.new_page(), phone.new_page()
        ready(page, f"{server.address}/b/1/strip-down")
        ready(other, f"{server.address}/b/1")
        server.stop()
        take(page, files)
        expect(other.locator("#outbox")).to_have_text("20 kept on this phone, not sent yet", timeout=LONG)
        sent = []
        phone.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
        server.start()
        page.evaluate("void outbox.send()")
        other.evaluate("void outbox.send()")
        all_sent(page)
        all_sent(other)
    assert photos(server) == before + PHOTOS
    assert twice(server) == []
    assert len(sent) == PHOTOS, "the lock lets one page send at a time"


def test_reading_tick_joint_and_balloon_with_no_connection(browser: Browser, server: Server, tmp_path: Path) -> None:
    step, card = ask(
        server,
        "select s.id, s.card_id from records_jobstep s join records_jobcard c on c.id = s.card_id "
        "where s.done_at is null and c.signed_off_at is null limit 1",
    )[0]
    joint = ask(server, "select id from records_fastenerset where joint = 'apart' limit 1")[0][0]
    balloons = int(str(ask(server, "select count(*) from records_balloon where photo_id = 1")[0][0]))
    readings = int(str(ask(server, "select count(*) from records_reading")[0][0]))
    pages = {name: f"{server.address}{path}" for name, path in (
        ("reading", "/b/1/readings/new"), ("card", f"/j/{card}"), ("joint", f"/f/{joint}"), ("photo", "/ph/1"),
    )}  # fmt: skip
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        for address in pages.values():
            ready(page, address)
        server.stop()

        page.goto(pages["card"])
        expect(page.locator("#copy-of")).to_contain_text("This is a copy kept at")
        page.locator(f"#tick-{step}").tap()
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet")
        expect(page.locator(f"#tick-{step}")).to_have_attribute("aria-pressed", "false")
        expect(page.locator(".kept-note")).to_contain_text("Kept on this phone at")

        page.goto(pages["joint"])
        page.get_by_role("button", name="Torqued").tap()
        expect(page.locator("#outbox")).to_have_text("2 kept on this phone, not sent yet")

        page.goto(pages["reading"])
        fill_reading(page, "61.24 mm", "piston skirt, left")
        expect(page.locator("#outbox")).to_have_text("3 kept on this phone, not sent yet")
        expect(page.locator(".kept-note")).to_contain_text("piston skirt, left")
        expect(page.get_by_label("Reading", exact=False).first).to_have_value("")

        page.goto(pages["photo"])
        shot = page.locator("#picture img")
        shot.tap(position={"x": 60, "y": 60})
        page.get_by_label("Or a remark").fill("bracket bent here")
        page.get_by_role("button", name="Put the balloon there").tap()
        expect(page.locator("#outbox")).to_have_text("4 kept on this phone, not sent yet")

        page.locator("#outbox a").tap()
        expect(page.get_by_role("heading", level=1)).to_have_text("Kept on this phone")
        expect(page.locator("ul.kept li")).to_have_count(4)
        switch_off(tmp_path / "phone")
    assert ask(server, f"select done_at from records_jobstep where id = {step}") == [(None,)]
    time.sleep(3)

    server.start()
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        page.goto(f"{server.address}/b/1")
        all_sent(page)
        page.goto(pages["card"])
        expect(page.locator(f"#tick-{step}")).to_have_attribute("aria-pressed", "true")
        page.goto(pages["joint"])
        expect(page.get_by_role("heading", level=2, name="Torqued")).to_be_visible()
    assert ask(server, "select count(*) from records_reading") == [(readings + 1,)]
    assert ask(server, "select count(*) from records_balloon where photo_id = 1") == [(balloons + 1,)]
    done, sent = ask(
        server,
        "select julianday(s.done_at), julianday(max(r.at)) from records_jobstep s, records_received r "
        f"where s.id = {step}",
    )[0]
    assert float(str(sent)) - float(str(done)) > 3 / 86_400, "done when it was tapped, not when it was sent"


def test_a_refused_reading_stays_and_holds_nothing_up(browser: Browser, server: Server, tmp_path: Path) -> None:
    readings = int(str(ask(server, "select count(*) from records_reading")[0][0]))
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/readings/new")
        server.stop()
        fill_reading(page, "sixty-one", "bore, wrong")
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet")
        fill_reading(page, "61.30 mm", "bore, right")
        expect(page.locator("#outbox")).to_have_text("2 kept on this phone, not sent yet")
        server.start()
        page.goto(f"{server.address}/kept")
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet; 1 not taken", timeout=LONG)
        expect(page.locator("ul.kept .wrong")).to_contain_text("sixty-one")
        assert ask(server, "select name from records_reading order by id desc limit 1") == [("bore, right",)]

        page.get_by_role("link", name="Put it right").tap()
        expect(page.get_by_label("Reading", exact=False).first).to_have_value("sixty-one")
        expect(page.get_by_role("alert")).to_contain_text("sixty-one")
        page.get_by_label("Reading", exact=False).first.fill("61.28 mm")
        page.get_by_role("button", name="Reading taken").tap()
        expect(page.get_by_role("heading", level=1)).to_contain_text("bore, wrong")
        all_sent(page)
    assert ask(server, "select count(*) from records_reading") == [(readings + 2,)]


def test_striking_out_asks_first(browser: Browser, server: Server, tmp_path: Path) -> None:
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/readings/new")
        ready(page, f"{server.address}/kept")
        page.goto(f"{server.address}/b/1/readings/new")
        server.stop()
        fill_reading(page, "61.30 mm")
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet")
        page.locator("#outbox a").tap()
        page.get_by_role("button", name="Strike out").tap()
        expect(page.locator("ul.kept li")).to_have_count(1)
        page.get_by_role("button", name="Leave it").tap()
        page.get_by_role("button", name="Strike out").tap()
        page.get_by_role("button", name="Strike it out for good").tap()
        expect(page.locator("ul.kept li")).to_have_count(0)
        expect(page.locator("#outbox")).to_be_hidden()


def test_with_a_connection_a_form_works_as_ever(browser: Browser, server: Server, tmp_path: Path) -> None:
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        page.goto(f"{server.address}/b/1/readings/new")
        fill_reading(page, "many")
        expect(page.locator(".field .wrong")).to_contain_text("many")
        expect(page.locator("#outbox")).to_be_hidden()
        page.get_by_label("Reading", exact=False).first.fill("61.24 mm")
        page.get_by_role("button", name="Reading taken").tap()
        expect(page.get_by_role("heading", level=1)).to_contain_text("piston skirt")
        expect(page.locator("#outbox")).to_be_hidden()


def test_a_page_not_looked_at_before_says_so(browser: Browser, server: Server, tmp_path: Path) -> None:
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1")
        server.stop()
        page.goto(f"{server.address}/b/1/readings")
        expect(page.get_by_role("heading", level=1)).to_have_text("No connection")
        page.goto(f"{server.address}/b/1")
        expect(page.locator("#copy-of")).to_contain_text("This is a copy kept at")


def test_a_new_version_throws_the_old_copies_away(browser: Browser, server: Server, tmp_path: Path) -> None:
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        page.goto(f"{server.address}/b/1")
        page.evaluate("async () => { await caches.open('pages of another version'); }")
        ready(page, f"{server.address}/b/1")
        page.evaluate("async () => (await navigator.serviceWorker.getRegistration()).unregister()")
        page.goto(f"{server.address}/b/1")
        page.wait_for_function("async () => !(await caches.has('pages of another version'))")
        assert page.evaluate("async () => (await caches.keys()).length") == 2


def test_the_way_in_opens_the_last_bench_with_no_connection(browser: Browser, server: Server, tmp_path: Path) -> None:
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1")
        server.stop()
        page.goto(server.address)
        expect(page.locator("#copy-of")).to_contain_text("This is a copy kept at")
        expect(page.get_by_role("link", name="Strip-down")).to_be_visible()


def test_the_page_for_photos_keeps_them_with_no_connection(browser: Browser, server: Server, tmp_path: Path) -> None:
    files = pictures(tmp_path / "pictures", 3)
    before = photos(server)
    with a_phone(browser, tmp_path / "phone") as phone:
        page = phone.new_page()
        ready(page, f"{server.address}/b/1/photos/new?target=part:3")
        server.stop()
        page.get_by_label("Or choose from what is there").set_input_files(files)
        page.get_by_label("What it shows").fill("starter, from the left")
        page.get_by_role("button", name="Keep").tap()
        expect(page.locator("#outbox")).to_have_text("3 kept on this phone, not sent yet")
        expect(page.locator(".kept-note")).to_have_count(3)
        server.start()
        page.goto(f"{server.address}/b/1")
        all_sent(page)
    shown = ask(server, "select p.shows, b.part_id from records_photo p join records_balloon b on b.photo_id = p.id")
    assert shown.count(("starter, from the left", 3)) == 3
    assert photos(server) == before + 3


def test_at_an_address_that_browsers_do_not_count_as_safe(browser: Browser, demo_home: Path, tmp_path: Path) -> None:
    """On the workshop's own network there is neither worker nor lock: an open page still keeps, and sends once."""
    shutil.copytree(demo_home, tmp_path / "workshop")
    server = Server(tmp_path / "workshop", "--lan")
    server.start()
    files = pictures(tmp_path / "pictures")
    before = photos(server)
    readings = int(str(ask(server, "select count(*) from records_reading")[0][0]))
    address = f"http://workshop.test:{server.port}"
    with a_phone(browser, tmp_path / "phone", "--host-resolver-rules=MAP workshop.test 127.0.0.1") as phone:
        page, other = phone.new_page(), phone.new_page()
        page.goto(f"{address}/b/1/readings/new")
        other.goto(f"{address}/kept")
        assert page.evaluate("[isSecureContext, 'serviceWorker' in navigator, !!navigator.locks]") == [False] * 3
        expect(other.get_by_text("do not count as safe")).to_be_visible()
        server.stop()
        fill_reading(page, "61.24 mm")
        expect(page.locator("#outbox")).to_have_text("1 kept on this phone, not sent yet")
        take(page, files)
        expect(other.locator("#outbox")).to_have_text("21 kept on this phone, not sent yet", timeout=LONG)
        server.start()
        page.evaluate("void outbox.send()")
        other.evaluate("void outbox.send()")
        all_sent(page)
        all_sent(other)
    server.stop()
    assert photos(server) == before + PHOTOS
    assert twice(server) == []
    assert ask(server, "select count(*) from records_reading") == [(readings + 1,)]
