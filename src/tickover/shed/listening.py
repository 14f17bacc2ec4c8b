"""How the server listens: waitress, and a body that is too large is let run through without being kept anywhere."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import create_server
from waitress.utilities import RequestEntityTooLarge


class _LetThrough:
    """Takes the bytes of a body and forgets them; a body without content is what is left."""

    error = None

    def __init__(self, length: int) -> None:
        self.left = length
        self.completed = False

    def received(self, data: bytes) -> int:
        taken = min(self.left, len(data))
        self.left -= taken
        self.completed = not self.left
        return taken

    def getfile(self) -> BytesIO:
        return BytesIO()

    def getbuf(self) -> BytesIO:
        return BytesIO()

    def __len__(self) -> int:
        return 0


class _Parser(HTTPRequestParser):
    """A request whose head says that its body is too large goes on to the application with an empty one.

    The application refuses it by its Content-Length, in a sentence. A browser reads an answer only after it has sent
    its whole body; so the body is taken from the line, and forgotten. Who asks first (Expect) is told at once.
    """

    def received(self, data: bytes) -> int:
        consumed: int = super().received(data)
        if isinstance(self.error, RequestEntityTooLarge) and isinstance(self.body_rcv, _LetThrough):
            self.error = None
            self.completed = self.body_rcv.completed
        elif isinstance(self.error, RequestEntityTooLarge) and not self.chunked:
            self.error = None
            self.body_rcv.getbuf().close()
            self.body_rcv = _LetThrough(self.content_length)
            if self.expect_continue:
                self.expect_continue = False
                self.headers["CONNECTION"] = "close"
            else:
                self.completed = False
        return consumed


class _Channel(HTTPChannel):
    parser_class = _Parser


def server(application: Any, *, host: str, port: int, most_bytes: int) -> Any:
    """A server that is ready to run, and closes with ``close()``."""
    made = create_server(
        application, host=host, port=port, threads=8, ident="tickover", max_request_body_size=most_bytes
    )
    made.channel_class = _Channel
    return made
