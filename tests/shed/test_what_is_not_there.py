"""An address where nothing stands, and more than one form can take."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from tests.shed.penhallow import bare_build

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/p/999", "/b/999/stores", "/nowhere", "/p/" + "9" * 40])
def test_nothing_stands_there(client: Client, address: str) -> None:
    response = client.get(address)
    assert response.status_code == 404
    assert "Nothing stands at this address" in response.content.decode()


def test_too_many_photos_at_once(client: Client) -> None:
    photos = [SimpleUploadedFile(f"{number}.jpg", b"x") for number in range(501)]
    response = client.post(f"/b/{bare_build().pk}/photos/new", {"photos": photos})
    assert response.status_code == 400
    assert "send at most 500 photos" in response.content.decode()
