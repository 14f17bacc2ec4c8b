"""What has to be bought: in the order in which the bike waits for it, what is on its way, what has come."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.planning.buying import Wanted
from tickover.records.as_plan import buying_of
from tickover.records.models import Build, JobCard, Part, Purchase
from tickover.records.models.words import Bought, Condition, Now
from tickover.shed.base.pages import back, record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.buying.forms import PurchaseForm
from tickover.units import BadInput

NOT_WAITED_FOR = Wanted()


def buying(request: HttpRequest, build_id: int) -> HttpResponse:
    """To order and on order, what is waited for soonest first; then what has arrived, the newest first."""
    build = get_object_or_404(Build, pk=build_id)
    purchases = list(Purchase.objects.filter(build=build).select_related("card", "part"))
    waiting = buying_of(build)
    rows = {state: _rows(build, purchases, waiting, state) for state in Bought.values}
    today = timezone.localdate()
    context = {
        "build": build,
        "chapter": "buying",
        "to_order": rows[Bought.TO_ORDER],
        "on_order": rows[Bought.ON_ORDER],
        "arrived": sorted(
            (row[0] for row in rows[Bought.ARRIVED]),
            key=lambda bought: (bought.arrived_on is not None, bought.arrived_on, bought.pk),
            reverse=True,
        ),
        "totals": {state.replace(" ", "_"): _total(row[0] for row in rows[state]) for state in rows},
        "today": today,
        "count": len(purchases),
    }
    return render(request, "buying/buying.html", context)


def _rows(
    build: Build, purchases: list[Purchase], waiting: dict[int, Wanted], state: str
) -> list[tuple[Purchase, Wanted, JobCard | None, Part | None]]:
    """Purchases of one state, each with where, by which job and by which part it is waited for."""
    cards = JobCard.objects.filter(build=build).in_bulk({one.job for one in waiting.values() if one.job})
    parts = Part.objects.filter(build=build).in_bulk({one.part for one in waiting.values() if one.part})
    rows = []
    for bought in purchases:
        if bought.state == state:
            place = waiting.get(bought.pk, NOT_WAITED_FOR)
            card = cards.get(place.job) if place.job else bought.card
            part = bought.part or (parts.get(place.part) if place.part else None)
            rows.append((bought, place, card, part))
    return sorted(rows, key=lambda row: (row[1].turn, row[0].expected_on or timezone.localdate(), row[0].pk))


def _total(purchases: Iterable[Purchase]) -> dict[str, object]:
    """The sum of the prices that are known, and how many are not."""
    total, without = Decimal(0), 0
    for bought in purchases:
        if bought.price is None:
            without += 1
        else:
            total += bought.price * bought.count
    return {"sum": total, "without": without}


def purchase(request: HttpRequest, purchase_id: int) -> HttpResponse:
    bought = _purchase(purchase_id)
    place = buying_of(bought.build).get(bought.pk, NOT_WAITED_FOR)
    context = {
        "build": bought.build,
        "chapter": "buying",
        "purchase": bought,
        "record": bought,
        "total": bought.price * bought.count if bought.price is not None else None,
        "place": place,
        "job": JobCard.objects.filter(pk=place.job).first() if place.job else None,
        "late": bought.state == Bought.ON_ORDER and bought.expected_on and bought.expected_on < timezone.localdate(),
    }
    return render(request, "buying/purchase.html", context)


def _purchase(purchase_id: int) -> Purchase:
    return get_object_or_404(Purchase.objects.select_related("build", "card", "part"), pk=purchase_id)


def new_purchase(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    initial = {name: number for name in ("card", "part") if (number := request.GET.get(name, "")).isdecimal()}
    return record_form(
        request,
        PurchaseForm,
        build,
        title="Something to buy",
        chapter="buying",
        initial=initial,
        done="Kept.",
    )


def edit_purchase(request: HttpRequest, purchase_id: int) -> HttpResponse:
    bought = _purchase(purchase_id)
    return record_form(
        request,
        PurchaseForm,
        bought.build,
        record=bought,
        title=f"Edit {bought}",
        chapter="buying",
        done="Kept.",
    )


def strike_out_purchase(request: HttpRequest, purchase_id: int) -> HttpResponse:
    bought = _purchase(purchase_id)
    return strike_out(request, bought, chapter="buying", then=reverse("buying", args=[bought.build_id]))


@require_POST
def ordered(request: HttpRequest, purchase_id: int) -> HttpResponse:
    """It is on order from today. A part that was missing is on order with it."""
    bought = _purchase(purchase_id)
    if bought.state != Bought.TO_ORDER:
        raise BadInput(f"“{bought}” is already {bought.state}; its state can be changed on its edit page.")
    bought.state, bought.ordered_on = Bought.ON_ORDER, timezone.localdate()
    with writing(request, f"Ordered: {bought}"):
        bought.save()
        part = bought.part
        if part is not None and part.condition == Condition.MISSING and part.now == Now.IN_STORES:
            part.now = Now.ON_ORDER
            part.save()
    messages.success(request, f"“{bought}” is on order. Its day of arrival can be given on its page.")
    return back(request, bought.get_absolute_url())


@require_POST
def arrived(request: HttpRequest, purchase_id: int) -> HttpResponse:
    """It is here from today. A part that was on order is in stores, with a place still to be given."""
    bought = _purchase(purchase_id)
    if bought.state == Bought.ARRIVED:
        raise BadInput(f"“{bought}” has arrived already; its days can be changed on its edit page.")
    bought.state, bought.arrived_on = Bought.ARRIVED, timezone.localdate()
    part = bought.part
    with writing(request, f"Arrived: {bought}"):
        bought.save()
        if part is not None and part.now == Now.ON_ORDER:
            part.now = Now.IN_STORES
            part.save()
    where = (
        f" Say on its page where {part} is kept."
        if part is not None and not part.is_on and part.place_id is None
        else ""
    )
    messages.success(request, f"“{bought}” has arrived.{where}")
    return back(request, bought.get_absolute_url())
