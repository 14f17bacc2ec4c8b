from django.http import HttpRequest, HttpResponse


def _soon(request: HttpRequest, **kw: object) -> HttpResponse:
    return HttpResponse("")


home = new_build = bench = edit_build = choose_milestone = find = changes = stints = start_stint = stint = edit_stint = end_stint = take_back = _soon
