"""What a photo is: a JPEG, PNG or WebP of a bounded size, made upright and small, and rid of what it told besides."""

import struct
import zlib
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import Final

from PIL import Image, ImageCms, ImageOps

FORMATS: Final = ("JPEG", "PNG", "WEBP")
MOST_PIXELS: Final = 50_000_000  # of a JPEG, which can be unpacked small
MOST_UNPACKED: Final = 25_000_000  # of one that can only be unpacked whole
LEAST_EDGE, LONG_EDGE, PREVIEW_EDGE = 16, 2000, 320  # [px]
QUALITY: Final = 85
MEDIA_TYPE: Final = "image/jpeg"
PAPER: Final = (255, 255, 255)
WOULD_DO: Final = "Send a JPEG, PNG or WebP."
# What readers of damaged pictures are known to raise.
DAMAGED: Final = (OSError, SyntaxError, ValueError, TypeError, LookupError, EOFError, struct.error, zlib.error)


@dataclass(frozen=True)
class Picture:
    """A photo as it is kept: JPEG, upright, without anything beside the picture, and a small one to look at first."""

    data: bytes
    preview: bytes
    width: int
    height: int

    @property
    def sha256(self) -> str:
        """Return the SHA-256 of the photo, in hexadecimal."""
        return sha256(self.data).hexdigest()


def photo_made(data: bytes) -> Picture:
    """Return a photo as it is kept, whatever camera made it.

    Parameters
    ----------
    data : bytes
        A file of JPEG, PNG or WebP, told by what it holds, never by its name.

    Returns
    -------
    Picture
        The picture alone: turned as the camera was held, its colours in sRGB, its long edge at most 2000 pixels.

    Raises
    ------
    ValueError
        If it is no such picture, is damaged, moves, or has more pixels than are taken; it says which.
    """
    image = _opened(data)
    try:
        image.draft("RGB", (LONG_EDGE, LONG_EDGE))  # a large JPEG is unpacked no larger than it is needed
        image.load()
        plain = _plain(ImageOps.exif_transpose(image))
    except DAMAGED as error:
        raise ValueError(f"The picture is damaged: {error}. {WOULD_DO}") from error
    plain.thumbnail((LONG_EDGE, LONG_EDGE))
    return Picture(_jpeg(plain), preview_of(plain), *plain.size)


def preview_of(image: Image.Image) -> bytes:
    """Return a small JPEG of a picture.

    Parameters
    ----------
    image : Image
        The picture, in RGB.

    Returns
    -------
    bytes
        Its long edge at most 320 pixels.
    """
    small = image.copy()
    small.thumbnail((PREVIEW_EDGE, PREVIEW_EDGE))
    return _jpeg(small)


def photo_opened(data: bytes) -> Image.Image:
    """Return a photo that was kept, as a picture.

    Parameters
    ----------
    data : bytes
        A photo as :func:`photo_made` makes them.

    Returns
    -------
    Image
        In RGB.

    Raises
    ------
    ValueError
        If it is no JPEG of the size that photos are kept in.
    """
    image = _opened(data)
    if image.format != "JPEG" or image.mode != "RGB" or max(image.size) > LONG_EDGE:
        raise ValueError(f"a photo is kept as JPEG of at most {LONG_EDGE} pixels, not as {image.format} {image.size}")
    try:
        image.load()
    except DAMAGED as error:
        raise ValueError(f"the picture is damaged: {error}") from error
    return image


def photo_scaled(data: bytes, edge: int) -> bytes:
    """Return a photo made smaller, as for paper.

    Parameters
    ----------
    data : bytes
        A photo as it is kept.
    edge : int
        How long its long edge may be. [px]

    Returns
    -------
    bytes
        A JPEG; the same photo always makes the same bytes.

    Raises
    ------
    ValueError
        If it is no photo that can be read.
    """
    image = photo_opened(data)
    image.thumbnail((edge, edge))
    return _jpeg(image)


def _opened(data: bytes) -> Image.Image:
    """Return a picture of which nothing but the head is read; ValueError for what is none that is taken."""
    try:
        image = Image.open(BytesIO(data), formats=FORMATS)
    except (*DAMAGED, Image.DecompressionBombError) as error:
        raise ValueError(f"This is no picture that can be read. {WOULD_DO}") from error
    width, height = image.size
    most = MOST_UNPACKED if image.format in ("PNG", "WEBP") else MOST_PIXELS
    if width * height > most:
        raise ValueError(f"The picture has {width} × {height} pixels; at most {most // 10**6} million are taken.")
    if min(width, height) < LEAST_EDGE:
        raise ValueError(f"The picture has {width} × {height} pixels; fewer than {LEAST_EDGE} show nothing.")
    if image.format in ("PNG", "WEBP") and getattr(image, "n_frames", 1) > 1:
        raise ValueError(f"The picture moves. Send a still one: {WOULD_DO}")
    return image


def _plain(image: Image.Image) -> Image.Image:
    """Return the picture in sRGB on white, as what it shows and nothing besides."""
    profile = image.info.get("icc_profile")
    if "A" in image.getbands() or "transparency" in image.info:
        whole = image.convert("RGBA")
        image = Image.new("RGB", image.size, PAPER)
        image.paste(whole, mask=whole.getchannel("A"))
    if profile and image.mode == "RGB":
        image = _in_srgb(image, profile)
    plain = Image.new("RGB", image.size)
    plain.paste(image.convert("RGB"))
    return plain


def _in_srgb(image: Image.Image, profile: bytes) -> Image.Image:
    """Return a picture with its colours as any screen shows them; as it is where its profile can't be read."""
    try:
        found = ImageCms.profileToProfile(image, BytesIO(profile), ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return image if found is None else found


def _jpeg(image: Image.Image) -> bytes:
    out = BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
