"""Where a phone reaches this workshop: the address that stands in every code."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest

from tickover.records.models import Build
from tickover.shed.serve import lan_address
from tickover.units import BadInput


@dataclass(frozen=True)
class Reached:
    """The address in use; whether it is written down; whether only this machine reaches it; a better one."""

    base: str
    is_kept: bool
    is_here_only: bool
    better: str
    is_open: bool
    """Whether the workshop answers others on the network at all."""


def reached(request: HttpRequest, build: Build) -> Reached:
    base = build.address or f"{request.scheme}://{request.get_host()}"
    here_only = _is_here_only(base)
    lan = lan_address()
    port = "" if request.get_port() in ("80", "443") else f":{request.get_port()}"
    better = f"http://{lan}{port}" if here_only and not _is_here_only(f"http://{lan}") else ""
    return Reached(base, bool(build.address), here_only, better, settings.LAN)


def _is_here_only(address: str) -> bool:
    host = urlsplit(address).hostname or ""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host in ("localhost", "testserver", "")


def checked(typed: str) -> str:
    """The address as it is kept; `BadInput` where it is none that a code can hold."""
    right = "write it as http://192.168.1.20:8000, or leave it empty"
    text = typed.strip()
    if not text:
        return ""
    try:
        parts = urlsplit(text if "://" in text else f"http://{text}")
        port = parts.port
    except ValueError:
        raise BadInput(f"“{typed}” is no address; {right}.") from None
    host = parts.hostname or ""
    known = host.isascii() and host.replace("-", "").replace(".", "").replace(":", "").isalnum()
    if (
        parts.scheme not in ("http", "https")
        or not known
        or parts.path not in ("", "/")
        or parts.query
        or parts.username
    ):
        raise BadInput(f"“{typed}” is no address of a workshop; {right}.")
    if len(text) > 60:
        raise BadInput(f"The address is {len(text)} letters long, too long for a small code; at most 60 go in.")
    shown = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{shown}" + (f":{port}" if port else "")
