"""Kits of a build, and one held against what came out."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from tickover.records.kits import compared
from tickover.records.models import Build, Kit
from tickover.shed.base.pages import record_form
from tickover.shed.base.strike_out import strike_out
from tickover.shed.kits.forms import KitForm, ThingsForm

A_PAGE = 40


def kits(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    rows = build.kits.select_related("purchase").annotate(things=Count("items")).order_by("name", "pk")
    context = {
        "build": build,
        "chapter": "buying",
        "page_of": Paginator(rows, A_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "kits/kits.html", context)


def kit_of(kit_id: int) -> Kit:
    return get_object_or_404(Kit.objects.select_related("build", "purchase"), pk=kit_id)


def kit(request: HttpRequest, kit_id: int, *, things: ThingsForm | None = None) -> HttpResponse:
    """The kit. ``things`` is a form of things to add that was not good."""
    record = kit_of(kit_id)
    rows = compared(record)
    context = {
        "build": record.build,
        "chapter": "buying",
        "record": record,
        "rows": rows,
        "different": [row for row in rows if row.differs],
        "cautions": list(dict.fromkeys(says for row in rows if row.sheet for says in row.sheet.cautions)),
        "things": things or ThingsForm(),
    }
    return render(request, "kits/kit.html", context, status=422 if things else 200)


def new_kit(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    purchase = request.GET.get("purchase", "")
    bought = build.purchases.filter(pk=purchase).first() if purchase.isdecimal() else None
    initial: dict[str, object] = {}
    if bought is not None:
        initial = {"purchase": bought.pk, "name": bought.what, "arrived_on": bought.arrived_on}
    return record_form(
        request,
        KitForm,
        build,
        title="A kit, or a bought replacement",
        button="Write it down",
        chapter="buying",
        initial=initial,
        done="Kept. Now write down what it holds.",
    )


def edit_kit(request: HttpRequest, kit_id: int) -> HttpResponse:
    record = kit_of(kit_id)
    return record_form(request, KitForm, record.build, record=record, title=f"Edit {record}", chapter="buying")


def strike_out_kit(request: HttpRequest, kit_id: int) -> HttpResponse:
    record = kit_of(kit_id)
    return strike_out(request, record, chapter="buying", then=reverse("kits", args=[record.build_id]))
