"""A body of 200 MB is read to its end and kept nowhere."""

import tracemalloc

import pytest
from django.core.exceptions import RequestDataTooBig
from django.core.handlers.wsgi import WSGIRequest
from django.test import RequestFactory

HEAD = (
    b'--limit\r\nContent-Disposition: form-data; name="before"\r\n\r\none\r\n'
    b'--limit\r\nContent-Disposition: form-data; name="file"; filename="huge.jpg"\r\n'
    b"Content-Type: image/jpeg\r\n\r\n"
)
TAIL = b'\r\n--limit\r\nContent-Disposition: form-data; name="after"\r\n\r\ntwo\r\n--limit--\r\n'


class Body:
    """A file of ``size`` zeros in a form, made while it is read."""

    def __init__(self, size):
        self.parts = [HEAD, size, TAIL]
        self.length = len(HEAD) + size + len(TAIL)

    def read(self, wanted):
        given = b""
        while self.parts and len(given) < wanted:
            part, room = self.parts[0], wanted - len(given)
            if isinstance(part, int):
                given += bytes(min(part, room))
                self.parts[0] = part - min(part, room)
            else:
                given += part[:room]
                self.parts[0] = part[room:]
            if not self.parts[0]:
                del self.parts[0]
        return given

    readline = read


def request_with(size):
    body = Body(size)
    environ = RequestFactory()._base_environ(
        REQUEST_METHOD="POST", CONTENT_TYPE="multipart/form-data; boundary=limit"
    )
    return WSGIRequest(environ | {"wsgi.input": body, "CONTENT_LENGTH": str(body.length)}), body


def test_200_mb_fill_neither_memory_nor_disk(monkeypatch):
    def no_file(*_args, **_kwargs):
        raise AssertionError("a temporary file was made")

    monkeypatch.setattr("tempfile.NamedTemporaryFile", no_file)
    monkeypatch.setattr("django.core.files.temp.NamedTemporaryFile", no_file)
    request, body = request_with(200_000_000)
    tracemalloc.start()
    file = request.FILES["file"]
    _now, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 5_000_000
    assert not body.parts
    assert (file.name, file.size) == ("huge.jpg", 200_000_000)
    assert request.POST.dict() == {"before": "one", "after": "two"}


@pytest.mark.parametrize("read", [lambda file: file.read(), lambda file: [*file.chunks()]])
def test_a_form_that_does_not_look_at_the_size_cannot_keep_an_empty_file(settings, read):
    settings.UPLOAD_LIMIT_BYTES = 1000
    request, _body = request_with(2000)
    with pytest.raises(RequestDataTooBig):
        read(request.FILES["file"])
    request.close()


def test_a_file_within_the_limit_arrives(settings):
    settings.UPLOAD_LIMIT_BYTES = 10_000
    request, _body = request_with(2000)
    assert request.FILES["file"].read() == bytes(2000)


def test_a_page_says_what_is_too_large(client, house):
    client.force_login(house.cook)
    body = Body(70_000_000)
    answer = client.generic(
        "POST",
        "/import/",
        body.read(body.length),
        content_type="multipart/form-data; boundary=limit",
    )
    assert answer.status_code == 422
    assert "5 MB" in answer.content.decode()
