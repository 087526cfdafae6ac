"""Pictures and videos that editors upload reach the people of the house, and nobody else."""

import pytest

from tests import factories

LETTERS = bytes(range(97, 123))

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


@pytest.fixture
def video(client, picture, settings):
    (settings.MEDIA_ROOT / "fold.mp4").write_bytes(LETTERS)
    client.force_login(factories.UserFactory())

    def get(**headers):
        return client.get("/uploads/fold.mp4", headers=headers)

    return get


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("asked", "sent", "place"),
    [
        # RFC 9110, 14.1.2: both ends are counted in; an end alone counts from the last byte.
        ("bytes=0-1", b"ab", "bytes 0-1/26"),
        ("bytes=23-", b"xyz", "bytes 23-25/26"),
        ("bytes=-2", b"yz", "bytes 24-25/26"),
        ("bytes=24-99", b"yz", "bytes 24-25/26"),
        ("bytes=-99", LETTERS, "bytes 0-25/26"),
    ],
)
def test_a_part_of_a_video(video, asked, sent, place):
    response = video(range=asked, accept_encoding="gzip")
    assert response.status_code == 206
    assert b"".join(response.streaming_content) == sent
    assert response["Content-Range"] == place
    assert int(response["Content-Length"]) == len(sent)
    assert response["Content-Type"] == "video/mp4"
    assert response["Accept-Ranges"] == "bytes"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Encoding"] == "identity"


@pytest.mark.django_db
@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"range": "bytes=-"},
        {"range": "bytes=3-1"},
        {"range": "bytes=0-1,5-6"},
        {"range": "lines=0-1"},
        {"range": "bytes=0-1", "if_range": "Thu, 01 Jan 1970 00:00:00 GMT"},
    ],
)
def test_the_whole_video(video, headers):
    response = video(**headers)
    assert response.status_code == 200
    assert b"".join(response.streaming_content) == LETTERS
    assert response["Accept-Ranges"] == "bytes"
    assert int(response["Content-Length"]) == len(LETTERS)


@pytest.mark.django_db
def test_a_part_of_the_same_video_as_before(video):
    whole = video()
    part = video(range="bytes=0-1", if_range=whole["Last-Modified"])
    assert [b"".join(one.streaming_content) for one in (whole, part)] == [LETTERS, b"ab"]


@pytest.mark.django_db
@pytest.mark.parametrize("asked", ["bytes=26-", "bytes=-0"])
def test_a_part_beyond_the_end(video, asked):
    response = video(range=asked)
    assert response.status_code == 416
    assert response["Content-Range"] == "bytes */26"


def test_a_stranger_gets_no_part_either(client, picture):
    assert client.get("/uploads/bowl.png", headers={"range": "bytes=0-1"}).status_code == 302
