"""Turn a HEIC file into a JPEG, in a process of its own.

The decoder for HEIC is the largest and least settled piece of foreign code that an uploaded file
reaches. `pictures` therefore runs this file as a script, with the limits below, so that a file
made to crash it, or to keep it busy, ends a small process and not the server's. What comes out is
read as any other JPEG.

The script reads the file from standard input. On standard output it writes one line of JSON,
``{"width": ..., "height": ..., "bits": ...}``, and after it the JPEG, unless one of the three is
outside the limits given as arguments: fewest and most pixels, and 8 bits.
"""

import contextlib
import io
import json
import sys
from typing import Final

MEMORY_BYTES: Final = 1_000_000_000
"""Address space of the process; 50 megapixels take a little over half of it."""
CPU_S: Final = 30
JPEG_QUALITY: Final = 97
"""Changes the pixels by little more than one grey level of 255 in the mean."""
_LONGEST_EXIF: Final = 65_000
"""A JPEG holds no longer EXIF; the maker's notes at its end are not needed."""


def set_limits() -> None:
    """Limit this process; systems without such limits go without."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))


def to_jpeg(data: bytes, least_px: int, most_px: int) -> tuple[dict[str, int], bytes]:
    """Return the size and depth of the main picture, and its JPEG where all are within limits.

    Rotation and mirroring are applied; transparency is put on white; further pictures, previews
    and depth maps are left aside.
    """
    # Here, so that the limits are set when it loads.
    import pillow_heif
    from PIL import Image

    file = pillow_heif.open_heif(data, thumbnails=False)
    picture = file[file.primary_index]
    width, height = picture.size
    found = {"width": width, "height": height, "bits": int(picture.info["bit_depth"])}
    if not least_px <= width * height <= most_px or found["bits"] != 8:
        return found, b""
    image = picture.to_pillow()
    if picture.has_alpha:
        white = Image.new("RGB", image.size, "white")
        image = image.convert("RGBA")
        white.paste(image, mask=image.getchannel("A"))
        image = white
    exif = b"Exif\x00\x00" + (picture.info["exif"] or b"").removeprefix(b"Exif\x00\x00")
    jpeg = io.BytesIO()
    image.save(jpeg, "JPEG", quality=JPEG_QUALITY, subsampling=0, exif=exif[:_LONGEST_EXIF])
    return found, jpeg.getvalue()


def main() -> None:
    """Convert standard input to standard output."""
    set_limits()
    found, jpeg = to_jpeg(sys.stdin.buffer.read(), int(sys.argv[1]), int(sys.argv[2]))
    sys.stdout.buffer.write(json.dumps(found).encode() + b"\n" + jpeg)


if __name__ == "__main__":
    main()
