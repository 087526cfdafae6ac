"""The house's own pictures and videos, kept in a folder of this machine: for its people only."""

import re

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, StreamingHttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe
from django.views.static import serve

# One range, as players ask for; of several the whole file is sent, which RFC 9110 allows.
RANGE = re.compile(r"bytes=(\d*)-(\d*)")
CHUNK_BYTES = 64 * 1024


@require_safe
@login_required
@cache_control(private=True, max_age=86_400)
def upload(request, path):
    """Send one uploaded file, or a part of it; object storage, where there is one, does it itself.

    Phones play a video only where parts of it can be had.
    """
    response = part_of(request, serve(request, path, document_root=settings.MEDIA_ROOT))
    # Whatever somebody managed to upload, it is shown as a picture or not at all.
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["X-Content-Type-Options"] = "nosniff"
    # Compressed already; compressed again, the places in it would no longer be those asked for.
    response["Content-Encoding"] = "identity"
    return response


def part_of(request, response):
    """Return the part of a whole file that ``request`` asks for (RFC 9110, 14), or all of it."""
    if response.status_code != 200:
        return response
    response["Accept-Ranges"] = "bytes"
    asked = RANGE.fullmatch(request.headers.get("Range", ""))
    changed = request.headers.get("If-Range", response["Last-Modified"])
    if not asked or asked[0] == "bytes=-" or changed != response["Last-Modified"]:
        return response
    size = int(response["Content-Length"])
    first, last = asked.groups()
    if first:
        start, end = int(first), min(int(last or size), size - 1)
        if last and int(last) < start:
            return response
    else:
        start, end = max(0, size - int(last)), size - 1
    file = response.file_to_stream
    if start > end:
        file.close()
        return HttpResponse(
            status=416, headers={"Content-Range": f"bytes */{size}", "Accept-Ranges": "bytes"}
        )
    part = StreamingHttpResponse(Part(file, start, end - start + 1), status=206)
    part["Content-Range"] = f"bytes {start}-{end}/{size}"
    part["Content-Length"] = end - start + 1
    for name in ("Accept-Ranges", "Content-Type", "Last-Modified"):
        part[name] = response[name]
    return part


class Part:
    """A part of a file, read in chunks; closing it closes the file."""

    def __init__(self, file, start, size):
        self.file, self.start, self.size = file, start, size

    def __iter__(self):
        self.file.seek(self.start)
        left = self.size
        while left > 0 and (chunk := self.file.read(min(CHUNK_BYTES, left))):
            left -= len(chunk)
            yield chunk

    def close(self):
        self.file.close()
