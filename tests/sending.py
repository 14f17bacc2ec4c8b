"""A plain sender over HTTP, for tests that need a real server: it fetches a token, then posts forms with files."""

from __future__ import annotations

import http.client
import json
import uuid
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit


class Sender:
    """Posts to one server as a phone does. Each answer is its status and its body."""

    def __init__(self, address: str, page: str = "/b/1") -> None:
        self.host = urlsplit(address).netloc
        status, headers, body = self._ask("GET", page)
        assert status == 200
        self.cookies = "; ".join(value.partition(";")[0] for name, value in headers if name.lower() == "set-cookie")
        self.token = body.decode().partition('"X-CSRFToken": "')[2].partition('"')[0]
        assert self.token

    def _ask(
        self, method: str, path: str, body: bytes | None = None, headers: Mapping[str, str] | None = None
    ) -> tuple[int, list[tuple[str, str]], bytes]:
        connection = http.client.HTTPConnection(self.host, timeout=120)
        try:
            connection.request(method, path, body, dict(headers or {}))
            answer = connection.getresponse()
            return answer.status, answer.getheaders(), answer.read()
        finally:
            connection.close()

    def get(self, path: str, **headers: str) -> tuple[int, bytes]:
        status, _, body = self._ask("GET", path, None, {"Cookie": self.cookies} | headers)
        return status, body

    def post(
        self, path: str, fields: Mapping[str, object], files: Mapping[str, tuple[str, bytes]]
    ) -> tuple[int, bytes]:
        edge = uuid.uuid4().hex
        pieces = [
            f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
            for name, value in fields.items()
        ]
        for field, (name, data) in files.items():
            head = f'--{edge}\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n'
            pieces += [head.encode(), b"Content-Type: application/octet-stream\r\n\r\n", data, b"\r\n"]
        pieces.append(f"--{edge}--\r\n".encode())
        status, _, answer = self._ask(
            "POST",
            path,
            b"".join(pieces),
            {
                "Content-Type": f"multipart/form-data; boundary={edge}",
                "Cookie": self.cookies,
                "X-CSRFToken": self.token,
                "Accept": "application/json",
            },
        )
        return status, answer

    def send_photo(self, name: str, data: bytes, **fields: object) -> tuple[int, dict[str, Any]]:
        status, answer = self.post("/b/1/photos/one", fields, {"photo": (name, data)})
        return status, json.loads(answer)
