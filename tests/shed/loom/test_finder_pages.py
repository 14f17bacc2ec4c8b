"""Pages on which a relay's and a switch's pins are found from ohm readings."""

from __future__ import annotations

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build, full_build

from tickover.records.models import Build, Change, LoomComponent

pytestmark = pytest.mark.django_db

REST = {f"rest-{a}-{b}": "OL" for a in range(5) for b in range(a + 1, 5)} | {"rest-0-1": "85", "rest-2-3": "0.2"}
PULLED = {"pulled-2-3": "OL", "pulled-2-4": "0.2", "pulled-3-4": "OL"}
PINS = {"pins": "1 2 3 4 5"}
KEY = {"pins": "30, 15; 58", "positions": "off on", "read-0-0-1": "OL", "read-0-0-2": "OL", "read-0-1-2": "OL",
       "read-1-0-1": "0.3", "read-1-0-2": "0.4"}  # fmt: skip


@pytest.fixture
def build() -> Build:
    return full_build()


def text(client: Client, build: Build, page: str, data: dict[str, str] | None = None, status: int = 200) -> str:
    address = f"/b/{build.pk}/loom/{page}"
    response = client.post(address, data) if status in (422, 302) else client.get(address, data)
    assert response.status_code == status, response.content.decode()[:3000]
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize("page", ["relay-readings", "switch-readings"])
@pytest.mark.parametrize("make", [full_build, bare_build])
def test_the_page_opens_empty(client: Client, page: str, make: type) -> None:
    shown = text(client, make(), page)
    assert "Lay out the readings" in shown
    assert "How sure" not in shown


def test_what_is_certain_and_what_comes_next(client: Client, build: Build) -> None:
    shown = text(client, build, "relay-readings/found", PINS | REST)
    assert "Most likely: changeover" in shown
    assert "coil" in shown
    assert "certain" in shown
    assert "Read next:</b> pin 3 to 5 with 12 V on 1 and 2" in shown
    assert 'name="pulled-2-3"' in shown, "the readings with 12 V are laid out once the coil is certain"
    shown = text(client, build, "relay-readings/found", PINS | REST | PULLED)
    assert "It is certain: changeover" in shown
    assert "Read next" not in shown


def test_the_readings_with_12_volts_are_not_laid_out_again_while_they_are_typed(client: Client, build: Build) -> None:
    page = text(client, build, "relay-readings/found", PINS | REST)
    laid = page.partition('name="laid" value="')[2].partition('"')[0]
    assert laid == "rest-1-0 pulled-2-3 pulled-2-4 pulled-3-4"
    assert "hx-swap-oob" not in text(client, build, "relay-readings/found", PINS | REST | {"laid": laid})


def test_all_others_open_fills_the_readings_at_rest_only(client: Client, build: Build) -> None:
    response = client.post(
        f"/b/{build.pk}/loom/relay-readings", PINS | {"rest-0-1": "85", "rest-2-3": "0.2", "the_rest_open": "1"}
    )
    shown = " ".join(response.content.decode().split())
    assert response.status_code == 200
    assert 'name="rest-0-2" value="OL"' in shown
    assert 'name="rest-0-1" value="85"' in shown
    assert 'name="pulled-2-3" value=""' in shown
    assert 'name="rest-1-0" value=""' in shown


def test_12_volts_across_a_closed_contact_are_refused(client: Client, build: Build) -> None:
    shown = text(client, build, "relay-readings/found", PINS | REST | {"plus": "3", "minus": "4"})
    assert "12 V across them is a short circuit" in shown


def test_a_coil_hidden_by_a_diode_is_found_with_12_volts_on_chosen_pins(client: Client, build: Build) -> None:
    rest = REST | {"rest-0-1": "OL"}
    assert "Most likely" in text(client, build, "relay-readings/found", PINS | rest)
    shown = text(client, build, "relay-readings/found", PINS | rest | PULLED | {"plus": "2", "minus": "1"})
    assert "It is certain: changeover" in shown
    assert "leads changed over" in shown


def test_the_relay_goes_into_the_loom(client: Client, build: Build) -> None:
    data = PINS | REST | PULLED | {"ident": "R7", "name": "dip relay", "pull_in_volts": "7.2 V"}
    text(client, build, "relay-readings", data, 302)
    record = LoomComponent.objects.get(ident="R7")
    assert (record.kind, record.values["contact"], record.values["pull_in_volts"]) == ("relay", "changeover", 7.2)
    shown = client.get(record.get_absolute_url()).content.decode()
    assert "30 is pin 3" in shown


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"ident": "R7", "rest-0-1": "eighty"}, "1 to 2: "),
        ({"ident": "R7", "pulled-2-4": ""}, "not certain yet"),
        ({"ident": "R7", "pulled-2-4": "470"}, "Take this one again: 3 to 5 with 12 V"),
        ({"ident": ""}, "choose the relay of the loom that was read"),
        ({"ident": "R1"}, "There is a R1 in this loom already"),
        ({"ident": "R7", "pins": "1 2 3"}, "four or five"),
        ({"ident": "R7", "pins": ""}, "four or five"),
        ({"ident": "R7", "pull_in_volts": "strong"}, "pulls in at: "),
        ({"ident": "x" * 31}, "longer than 30 letters"),
        ({"component": "9" * 40}, "choose the relay"),
    ],
)
def test_what_cannot_be_written_is_said_and_all_that_was_typed_stays(
    client: Client, build: Build, more: dict[str, str], says: str
) -> None:
    changes = Change.objects.count()
    shown = text(client, build, "relay-readings", PINS | REST | PULLED | {"name": "dip relay"} | more, 422)
    assert says in shown
    if more.get("pins", "1 2 3 4 5") == "1 2 3 4 5":
        assert 'value="dip relay"' in shown
        assert f'name="rest-0-1" value="{more.get("rest-0-1", "85")}"' in shown
    assert Change.objects.count() == changes


def test_a_switch_is_found_and_goes_into_the_loom(client: Client, build: Build) -> None:
    shown = text(client, build, "switch-readings/found", KEY)
    assert "It joins" in shown
    assert "30–15, 30–58" in shown
    text(client, build, "switch-readings", KEY | {"ident": "KEY", "at": "on"}, 302)
    record = LoomComponent.objects.get(ident="KEY")
    assert record.values["positions"] == {"off": [], "on": [["30", "15"], ["30", "58"]]}
    assert record.values["at"] == "on"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"read-1-0-2": ""}, "is not told yet"),
        ({"read-1-1-2": "OL"}, "other readings join them"),
        ({"read-1-0-1": "much"}, "30 to 15, on: "),
        ({"pins": "1"}, "1 pins are given"),
        ({"pins": " ".join(map(str, range(30)))}, "this page takes 10"),
        ({"positions": "on on"}, "named twice"),
        ({"positions": ""}, "0 positions"),
        ({"pins": "RD BN/WH VT"}, "a pin is letters"),
    ],
)
def test_a_switch_that_cannot_be_written_is_said(client: Client, build: Build, more: dict[str, str], says: str) -> None:
    changes = Change.objects.count()
    assert says in text(client, build, "switch-readings", KEY | {"ident": "KEY"} | more, 422)
    assert Change.objects.count() == changes


def test_the_next_reading_of_a_switch_is_proposed(client: Client, build: Build) -> None:
    shown = text(client, build, "switch-readings/found", KEY | {"read-1-0-2": ""})
    assert "Read next:</b>" in shown
    assert "in on" in shown


def test_a_component_leads_to_its_readings(client: Client, build: Build) -> None:
    relay = LoomComponent.objects.get(ident="R1")
    link = f"/b/{build.pk}/loom/relay-readings?component={relay.pk}"
    assert link in client.get(relay.get_absolute_url()).content.decode()
    assert f'<option value="{relay.pk}" selected>' in client.get(link).content.decode()
    text(client, build, "relay-readings", PINS | REST | PULLED | {"component": str(relay.pk)}, 302)
    relay.refresh_from_db()
    assert relay.values["contact"] == "changeover"


@pytest.mark.parametrize("page", ["relay-readings", "relay-readings/found", "switch-readings", "switch-readings/found"])
@pytest.mark.parametrize("typed", ["\0", "1 2 3 4 5 6 7 8 9 10 11", "a" * 3000, "1,2;3 4", "🔧 2 3 4", "1 1 2 3"])
def test_no_name_of_pins_breaks_the_page(client: Client, build: Build, page: str, typed: str) -> None:
    fields = ("pins", "positions", "rest-0-1", "read-0-0-1", "component", "plus", "minus", "at")
    text(client, build, page, dict.fromkeys(fields, typed))
