"""Pictures that editors upload reach the people of the house, and nobody else."""

import pytest

from tests import factories

PICTURE = b"\x89PNG\r\n\x1a\n and the rest"


@pytest.fixture
def picture(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "uploads"
    settings.MEDIA_ROOT.mkdir()
    (settings.MEDIA_ROOT / "bowl.png").write_bytes(PICTURE)
    (tmp_path / "secret.txt").write_text("not for anybody")


@pytest.mark.django_db
def test_a_person_of_the_house_sees_the_picture(client, picture):
    client.force_login(factories.UserFactory())
    response = client.get("/uploads/bowl.png")
    assert b"".join(response.streaming_content) == PICTURE
    assert response["Content-Type"] == "image/png"
    assert "sandbox" in response["Content-Security-Policy"]
    assert "private" in response["Cache-Control"]


def test_a_stranger_is_asked_to_sign_in(client, picture):
    response = client.get("/uploads/bowl.png")
    assert response.status_code == 302
    assert response["Location"].startswith("/sign-in/login/")


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["nothing.png", "../secret.txt", "..%2fsecret.txt", ""])
def test_there_is_nothing_beside_the_pictures(client, picture, path):
    client.force_login(factories.UserFactory())
    assert client.get(f"/uploads/{path}").status_code in (400, 404)
