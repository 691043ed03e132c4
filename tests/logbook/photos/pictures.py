"""Pictures as cameras and programs make them, drawn for the tests."""

from io import BytesIO
from typing import Any

from PIL import Image

LATITUDE, LONGITUDE = (47.0, 21.0, 36.0), (8.0, 32.0, 24.0)
MAKER, PLACE_WORDS = "Testcam", b"invented place words"


def picture(size: tuple[int, int] = (64, 48), mode: str = "RGB", colour: Any = (200, 30, 30)) -> Image.Image:
    """Return a picture with one colour and a blue corner at the upper left, by which it is seen how it is turned."""
    image = Image.new(mode, size, colour)
    corner = Image.new("RGB", (size[0] // 4, size[1] // 4), (20, 20, 200)).convert(mode)
    image.paste(corner, (0, 0))
    return image


def as_file(image: Image.Image, form: str = "JPEG", **options: Any) -> bytes:
    """Return a picture as a file."""
    out = BytesIO()
    image.save(out, form, **options)
    return out.getvalue()


def camera_jpeg(size: tuple[int, int] = (64, 48), *, orientation: int = 1, colour: Any = (200, 30, 30)) -> bytes:
    """Return a JPEG as a phone makes it: with its place, its maker, words, and how it was held."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = orientation, MAKER
    exif.get_ifd(0x8825).update({1: "N", 2: LATITUDE, 3: "E", 4: LONGITUDE})
    exif.get_ifd(0x8769)[0x9286] = b"ASCII\0\0\0" + PLACE_WORDS
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><place>invented place words</place></x:xmpmeta>'
    return as_file(picture(size, colour=colour), exif=exif, xmp=xmp, comment=b"invented place words", quality=95)


def opened(data: bytes) -> Image.Image:
    """Return a file as a picture."""
    return Image.open(BytesIO(data))
