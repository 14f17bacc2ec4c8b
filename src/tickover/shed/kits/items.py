"""What a kit holds: adding things, one thing's facts, and what another size of it does."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from tickover import sheets
from tickover.records import kits
from tickover.records.models import KitItem
from tickover.shed.base.pages import record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.kits.forms import KitItemForm, ThingsForm, sheet_inputs
from tickover.shed.kits.views import kit, kit_of
from tickover.units import BadInput


@require_POST
def add_items(request: HttpRequest, kit_id: int) -> HttpResponse:
    """Add things to a kit, one a line; as many are taken to have come out, until that is corrected."""
    record = kit_of(kit_id)
    form = ThingsForm(request.POST)
    if not form.is_valid():
        return kit(request, kit_id, things=form)
    with writing(request, f"{record}: what it holds"[:300]):
        for name, count in form.cleaned_data["things"]:
            KitItem(build=record.build, kit=record, name=name, count_in=count, count_out=count).save()
    return redirect(record)


def _item(kit_id: int, item_id: int) -> KitItem:
    return get_object_or_404(
        KitItem.objects.select_related("build", "kit", "part", "old", "new", "limit"), pk=item_id, kit=kit_id
    )


def edit_item(request: HttpRequest, kit_id: int, item_id: int) -> HttpResponse:
    item = _item(kit_id, item_id)
    return record_form(request, KitItemForm, item.build, record=item, title=item.name, chapter="buying")


def strike_out_item(request: HttpRequest, kit_id: int, item_id: int) -> HttpResponse:
    item = _item(kit_id, item_id)
    return strike_out(request, item, chapter="buying", then=item.get_absolute_url())


def effect(request: HttpRequest, kit_id: int, item_id: int) -> HttpResponse:
    """Choose the sheet and the input that this thing's size is, and type the sheet's other inputs."""
    item = _item(kit_id, item_id)
    suggested = kits.usual_effect(item.name)
    by = request.POST.get("by", request.GET.get("by"))
    if by is None:
        by = f"{item.sheet}:{item.sheet_input}" if item.sheet else ":".join(suggested) if suggested else ""
    sheet_id, _, given = by.partition(":")
    wrong = ""
    this = None
    try:
        this = sheets.get(sheet_id) if sheet_id else None
        if this is not None and (given not in this.inputs or this.inputs[given].quantity is None):
            raise BadInput(f"{this.title} has no input “{given}” with a size; choose one from the list.")
    except BadInput as problem:
        wrong, this = str(problem), None
    typed = _typed(request, item, this, given)
    if request.method == "POST" and not wrong:
        item.sheet, item.sheet_input, item.sheet_others = (
            (this.id, given, {name: text for name, text in typed.items() if text}) if this else ("", "", {})
        )
        wrong = _what_is_wrong(item) if this else ""
        if not wrong:
            with writing(request, f"{item.kit}: what {item} does"[:300]):
                item.save()
            return redirect(f"{item.get_absolute_url()}#item-{item.pk}")
    context = {
        "build": item.build,
        "chapter": "buying",
        "item": item,
        "this": this,
        "by": by,
        "choices": sheet_inputs(),
        "lines": [(asked, name.replace("_", " "), typed[name]) for name, asked in this.inputs.items() if name != given]
        if this
        else [],
        "wrong": wrong,
    }
    return render(request, "kits/effect.html", context, status=422 if wrong else 200)


def _typed(request: HttpRequest, item: KitItem, this: sheets.Sheet | None, given: str) -> dict[str, str]:
    """What stands in the sheet's other inputs: as posted, else as kept on the item."""
    if this is None:
        return {}
    kept = item.sheet_others if item.sheet == this.id else {}
    return {
        name: str(request.POST.get(name, "") if request.method == "POST" else kept.get(name, "")).strip()[:200]
        for name in this.inputs
        if name != given
    }


def _what_is_wrong(item: KitItem) -> str:
    """Why the sheet cannot be worked with what is typed; empty where it can, or where sizes are still to come."""
    return next((one.wrong for one in kits.effects(item) if one.wrong), "")
