"""What a phone may send, and what it must not: an answer in one sentence each, and a server that stays small.

One server takes all of it, one after the other, several at once where that is worse; its largest resident set
(VmHWM of proc_pid_status(5)) is read at the end.
"""

from __future__ import annotations

import io
import json
import os
import random
import shutil
import socket
import struct
import threading
import zlib
from collections.abc import Iterator
from pathlib import Path

import pillow_heif
import pytest
from PIL import Image
from tests.sending import Sender
from tests.serving import Server

pillow_heif.register_heif_opener()

MOST_KILOBYTES = 500 * 1000
SIZE_50 = (8160, 6120)


@pytest.fixture(scope="module")
def server(demo_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    home = tmp_path_factory.mktemp("memory") / "workshop"
    shutil.copytree(demo_home, home)
    running = Server(home)
    try:
        running.start()
        yield running
    finally:
        running.stop()


@pytest.fixture
def sender(server: Server) -> Sender:
    return Sender(server.address)


def resident(server: Server) -> int:
    """The largest resident set of the server until now, in kilobytes."""
    assert server.process is not None
    status = Path(f"/proc/{server.process.pid}/status").read_text()
    return int(status.partition("VmHWM:")[2].split()[0])


def photo(size: tuple[int, int], kind: str, **options: object) -> bytes:
    """Shades and edges, the camera upright (orientation 6), taken at a time with its zone."""
    image = Image.linear_gradient("L").resize(size)
    image = Image.merge("RGB", (image, image.transpose(Image.Transpose.FLIP_LEFT_RIGHT), Image.new("L", size, 90)))
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x9003] = "2026:11:20 19:30:00"
    exif.get_ifd(0x8769)[0x9011] = "+01:00"
    out = io.BytesIO()
    image.save(out, kind, exif=exif, **options)
    return out.getvalue()


def test_a_jpeg_of_50_megapixels(sender: Sender) -> None:
    status, answer = sender.send_photo("large.jpg", photo(SIZE_50, "JPEG", quality=92))
    assert status == 200, answer
    page = sender.get(answer["address"])[1].decode()
    assert "6120 × 8160 pixels" in page
    assert "20 Nov 2026, 18:30" in page
    status, small = sender.get(f"{answer['address']}/480")
    assert Image.open(io.BytesIO(small)).size == (360, 480)


def test_a_progressive_jpeg_of_50_megapixels_without_thinned_colours(sender: Sender) -> None:
    data = photo(SIZE_50, "JPEG", progressive=True, subsampling=0)
    assert sender.send_photo("large.jpg", data)[0] == 200


@pytest.mark.parametrize("tile", [1024, 0])
def test_a_heic_of_50_megapixels(sender: Sender, tile: int) -> None:
    """In tiles, as phones write it, and whole."""
    data = photo(SIZE_50, "HEIF", enc_params={"preset": "ultrafast"}, quality=30, tile_size=tile)
    status, answer = sender.send_photo("large.heic", data)
    assert status == 200, answer
    assert "6120 × 8160 pixels" in sender.get(answer["address"])[1].decode()
    status, small = sender.get(f"{answer['address']}/1600")
    assert Image.open(io.BytesIO(small)).size == (1200, 1600)
    assert sender.get(f"{answer['address']}/original")[1] == data


def test_a_png_of_50_megapixels(sender: Sender) -> None:
    assert sender.send_photo("large.png", photo(SIZE_50, "PNG", compress_level=1))[0] == 200


def test_a_jpeg_of_108_megapixels(sender: Sender) -> None:
    status, answer = sender.send_photo("huge.jpg", photo((12_000, 9_000), "JPEG", quality=80))
    assert status == 200, answer


def test_several_large_ones_at_once(sender: Sender) -> None:
    datas = [photo(SIZE_50, "JPEG", progressive=True, quality=80 + n) for n in range(4)]
    answers: list[int] = []
    threads = [
        threading.Thread(target=lambda data=data: answers.append(sender.send_photo("large.jpg", data)[0]))
        for data in datas
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [200] * 4


def _bomb() -> bytes:
    """A PNG of 50000 by 50000 pixels in some kilobytes: its head says so, and its lines are all the same."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 50_000, 50_000, 8, 2, 0, 0, 0)
    lines = zlib.compress(bytes(10_000_000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", lines) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("cut.jpg", photo((2000, 1500), "JPEG")[:-4000], "“cut.jpg” is damaged or cut short; send it again."),
        ("notes.jpg", b"only words\n" * 500,
         "“notes.jpg” is not a whole picture in JPEG, HEIC, PNG or WebP; choose one that is."),
        ("bomb.png", _bomb(), "“bomb.png” has more than 110 million pixels; send it smaller."),
        ("large.jpg", random.Random(1).randbytes(61 * 2**20), "“large.jpg” is larger than 60 MB; send it smaller."),
    ],
)  # fmt: skip
def test_what_is_refused_is_refused_in_one_sentence(sender: Sender, name: str, data: bytes, says: str) -> None:
    assert sender.send_photo(name, data) == (422, {"says": says})


def _post_of_two_gigabytes(server: Server, sender: Sender, accept: str) -> tuple[bytes, int]:
    """As a browser does it: the whole body first, then the answer. What came back, and how far the disk filled."""
    host, port = sender.host.split(":")
    length, piece = 2 * 2**30, bytes(2**20)
    free = least = os.statvfs(server.home).f_bavail
    with socket.create_connection((host, int(port)), timeout=60) as line:
        line.sendall(
            f"POST /b/1/photos/one HTTP/1.1\r\nHost: {sender.host}\r\nAccept: {accept}\r\nCookie: {sender.cookies}\r\n"
            f"X-CSRFToken: {sender.token}\r\nContent-Type: multipart/form-data; boundary=edge\r\n"
            f"Content-Length: {length}\r\n\r\n".encode()
        )
        head = b'--edge\r\nContent-Disposition: form-data; name="photo"; filename="film.jpg"\r\n\r\n'
        line.sendall(head)
        left = length - len(head)
        while left:
            sent = line.send(piece[: min(left, len(piece))])
            left -= sent
            if left % 64 == 0:
                least = min(least, os.statvfs(server.home).f_bavail)
        line.shutdown(socket.SHUT_WR)
        answer = b""
        while got := line.recv(65536):
            answer += got
    return answer, (free - least) * os.statvfs(server.home).f_frsize


def test_two_gigabytes_are_let_through_and_refused(server: Server, sender: Sender) -> None:
    answer, filled = _post_of_two_gigabytes(server, sender, "application/json")
    head, _, body = answer.partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 413 ")
    assert json.loads(body)["says"] == "That was 2048 MB at once; send at most 600 MB, and no photo of more than 60 MB."
    assert filled < 200 * 2**20
    assert sender.get("/b/1")[0] == 200


def test_on_a_page_the_refusal_is_a_page(server: Server, sender: Sender) -> None:
    answer, _ = _post_of_two_gigabytes(server, sender, "text/html")
    assert answer.startswith(b"HTTP/1.1 413 ")
    assert answer.count(b"send at most 600 MB") == 1
    assert b"</html>" in answer


def test_whoever_asks_first_is_told_at_once(sender: Sender) -> None:
    host, port = sender.host.split(":")
    with socket.create_connection((host, int(port)), timeout=20) as line:
        line.sendall(
            f"POST /b/1/photos/one HTTP/1.1\r\nHost: {sender.host}\r\nExpect: 100-continue\r\n"
            f"Content-Type: multipart/form-data; boundary=edge\r\nContent-Length: {2**31}\r\n\r\n".encode()
        )
        answer = b""
        while got := line.recv(65536):
            answer += got
    assert answer.startswith(b"HTTP/1.1 413 ")


def test_the_server_stayed_small(server: Server, sender: Sender) -> None:
    assert sender.get("/b/1/strip-down?show=photos")[0] == 200
    assert sender.get("/b/1/fault-finding")[0] == 200
    assert resident(server) < MOST_KILOBYTES
