"""What has to be bought: in the order in which the bike waits for it, what is on its way, what has come."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.db.models import Count, DecimalField, F, Q, QuerySet, Sum
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
A_PAGE = 15


def buying(request: HttpRequest, build_id: int) -> HttpResponse:
    """To order and on order, what is waited for soonest first; then what has arrived, the newest first."""
    build = get_object_or_404(Build, pk=build_id)
    waiting = buying_of(build)
    purchases = Purchase.objects.filter(build=build)
    arrived = purchases.filter(state=Bought.ARRIVED).order_by(F("arrived_on").desc(nulls_last=True), "-pk")
    pages = {
        "to_order": Paginator(_in_turn(purchases, waiting, Bought.TO_ORDER), A_PAGE),
        "on_order": Paginator(_in_turn(purchases, waiting, Bought.ON_ORDER), A_PAGE),
        "arrived": Paginator(arrived.select_related("card", "part"), A_PAGE),
    }
    turned = {state: pages[state].get_page(request.GET.get(state)) for state in pages}
    totals = _totals(purchases)
    context = {
        "build": build,
        "chapter": "buying",
        "pages": turned,
        "to_order": _rows(turned["to_order"], waiting),
        "on_order": _rows(turned["on_order"], waiting),
        "arrived": turned["arrived"].object_list,
        "totals": {state: totals.get(state.replace("_", " "), {"sum": Decimal(0), "without": 0}) for state in pages},
        "today": timezone.localdate(),
        "count": sum(paginator.count for paginator in pages.values()),
    }
    return render(request, "buying/buying.html", context)


def _in_turn(purchases: QuerySet[Purchase], waiting: dict[int, Wanted], state: str) -> list[int]:
    """The numbers of the purchases of one state, what is waited for soonest first."""
    rows = purchases.filter(state=state).order_by().values_list("expected_on", "pk")
    today = timezone.localdate()
    turns = sorted((waiting.get(pk, NOT_WAITED_FOR).turn, expected or today, pk) for expected, pk in rows)
    return [pk for _, _, pk in turns]


def _rows(page: Page[int], waiting: dict[int, Wanted]) -> list[tuple[Purchase, Wanted, JobCard | None, Part | None]]:
    """Purchases by their numbers, each with where, by which job and by which part it is waited for."""
    numbers = list(page.object_list)
    purchases = Purchase.objects.select_related("card", "part").in_bulk(numbers)
    places = {number: waiting.get(number, NOT_WAITED_FOR) for number in numbers}
    cards = JobCard.objects.in_bulk({place.job for place in places.values() if place.job})
    parts = Part.objects.in_bulk({place.part for place in places.values() if place.part})
    rows = []
    for number, place in places.items():
        bought = purchases[number]
        card = cards.get(place.job) if place.job else bought.card
        part = bought.part or (parts.get(place.part) if place.part else None)
        rows.append((bought, place, card, part))
    return rows


def _totals(purchases: QuerySet[Purchase]) -> dict[str, dict[str, object]]:
    """By state: the sum of the prices that are known, and how many are not."""
    rows = (
        purchases.order_by()
        .values("state")
        .annotate(
            sum=Sum(F("price") * F("count"), output_field=DecimalField(max_digits=20, decimal_places=2)),
            without=Count("pk", filter=Q(price=None)),
        )
    )
    return {row["state"]: {"sum": row["sum"] or Decimal(0), "without": row["without"]} for row in rows}


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
