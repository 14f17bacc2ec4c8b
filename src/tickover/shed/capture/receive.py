"""What a phone kept while it had no connection: sent later, checked as its page checks it, written once."""

from __future__ import annotations

import copy
from html.parser import HTMLParser
from typing import Any

from django.contrib.messages.storage import default_storage
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.middleware.csrf import get_token
from django.urls import Resolver404, resolve
from django.utils.datastructures import MultiValueDict
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from tickover.records.models import Build
from tickover.records.received import mark_of, once
from tickover.shed.base.outbox import KINDS, by_age
from tickover.units import BadInput


@require_GET
@never_cache
def token(request: HttpRequest) -> JsonResponse:
    """A fresh token for what is sent next: the page that it was written on may be days old."""
    return JsonResponse({"token": get_token(request)})


@require_POST
def receive(request: HttpRequest, build_id: int) -> JsonResponse:
    """Fields: ``mark`` (UUID), ``kind``, ``to`` (the form's address), ``fields`` (the form as its page would send it,
    urlencoded), ``age`` (seconds since the button was pressed), ``waits`` where a page waits for the answer. Answers
    200 ``{"address"}`` or 422 ``{"says"}``."""
    try:
        build = Build.objects.filter(pk=build_id).first()
        if build is None:
            raise BadInput("The build that this belongs to is no longer on record; strike this out.")
        mark = mark_of(request.POST.get("mark", ""))
        if mark is None:
            raise BadInput("What a phone sends later carries a mark, so that it is written once; this has none.")
        kind = request.POST.get("kind", "")
        return JsonResponse(once(build, mark, kind, lambda: _do(request, kind)))
    except BadInput as problem:
        return JsonResponse({"says": str(problem)}, status=422)


def _do(request: HttpRequest, kind: str) -> dict[str, Any]:
    """Hand the form to the view that its page hands it to. What that view refuses is ``BadInput``."""
    path, _, query = request.POST.get("to", "").partition("#")[0].partition("?")
    try:
        match = resolve(path)
    except Resolver404:
        raise BadInput(f"“{path[:80]}” is no address here that a form is sent to.") from None
    if kind not in KINDS or getattr(match.func, "may_wait", "") != kind:
        raise BadInput(f"“{path[:80]}” takes no {kind[:20] or 'form'} that was kept on a phone.")
    try:
        answer: HttpResponse = match.func(_as_sent_then(request, path, query), *match.args, **match.kwargs)
    except Http404:
        raise BadInput("What this belongs to is no longer on record; it may have been struck out.") from None
    if answer.status_code == 302:
        return {"address": answer["Location"]}
    raise BadInput(" ".join(_sentences(answer)) or f"It was not taken (answer {answer.status_code}).")


def _as_sent_then(request: HttpRequest, path: str, query: str) -> HttpRequest:
    """The request as the page would have sent it when the button was pressed."""
    then: Any = copy.copy(request)
    then.path = then.path_info = path
    then.GET = QueryDict(query)
    then.POST = QueryDict(request.POST.get("fields", ""))
    then._files = MultiValueDict()
    if not request.POST.get("waits"):
        then._messages = default_storage(request)  # nobody looks on; what the view would say is not shown days later
    then.made_at = by_age(request.POST.get("age", ""))
    return then  # type: ignore[no-any-return]


def _sentences(page: HttpResponse) -> list[str]:
    """What a refusing page says is wrong: the text of each ``role="alert"``."""
    reader = _Alerts()
    reader.feed(page.content.decode())
    return [" ".join(text.split()) for text in reader.texts]


class _Alerts(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if not self.inside and ("role", "alert") in attrs:
            self.inside = tag
            self.texts.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == self.inside:
            self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.texts[-1] += data
