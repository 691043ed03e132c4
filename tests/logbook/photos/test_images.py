"""What is taken for a photo, and what is left of it."""

import random
import struct
import zlib
from typing import Any

import pytest
from PIL import Image, ImageCms

from logbook.photos.images import LONG_EDGE, PREVIEW_EDGE, photo_made, photo_opened, photo_scaled
from tests.logbook.photos.pictures import MAKER, PLACE_WORDS, as_file, camera_jpeg, opened, picture

FORMS = {"JPEG": {}, "PNG": {}, "WEBP": {"lossless": True}}


def segments(data: bytes) -> list[int]:
    """Return the markers of a JPEG up to its scan, read as ITU-T T.81, annex B, has them."""
    found, at = [], 2
    assert data[:2] == b"\xff\xd8"
    while data[at + 1] != 0xDA:
        assert data[at] == 0xFF
        found.append(data[at + 1])
        at += 2 + struct.unpack(">H", data[at + 2 : at + 4])[0]
    return found


@pytest.mark.parametrize("form", sorted(FORMS))
def test_each_form_is_taken_by_what_it_holds_and_kept_as_jpeg(form: str) -> None:
    made = photo_made(as_file(picture(), form, **FORMS[form]))
    kept = opened(made.data)
    assert (kept.format, kept.mode, kept.size, (made.width, made.height)) == ("JPEG", "RGB", (64, 48), (64, 48))
    red, green, blue = kept.getpixel((50, 40))  # type: ignore[misc]
    assert (abs(red - 200) < 12, abs(green - 30) < 12, abs(blue - 30) < 12) == (True, True, True)


def test_nothing_is_kept_but_the_picture() -> None:
    sent = camera_jpeg()
    assert (PLACE_WORDS in sent, MAKER.encode() in sent, 0xE1 in segments(sent), 0xFE in segments(sent)) == (True,) * 4
    made = photo_made(sent)
    for data in (made.data, made.preview):
        # ITU-T T.81: APP1 to APP15 and comments are where cameras write; APP0 alone (JFIF) says it is a JPEG.
        assert not {marker for marker in segments(data) if 0xE1 <= marker <= 0xEF or marker == 0xFE}
        assert PLACE_WORDS not in data
        assert MAKER.encode() not in data
        assert dict(opened(data).getexif()) == {}


# TIFF 6.0 and EXIF 2.3: where the first row and column of what is stored lie in what is to be seen.
@pytest.mark.parametrize(
    ("orientation", "size", "corner"),
    [
        (1, (64, 48), (4, 4)),
        (2, (64, 48), (60, 4)),
        (3, (64, 48), (60, 44)),
        (4, (64, 48), (4, 44)),
        (5, (48, 64), (4, 4)),
        (6, (48, 64), (44, 4)),
        (7, (48, 64), (44, 60)),
        (8, (48, 64), (4, 60)),
    ],
)
def test_a_photo_stands_upright_however_the_camera_was_held(
    orientation: int, size: tuple[int, int], corner: tuple[int, int]
) -> None:
    made = photo_made(camera_jpeg(orientation=orientation))
    kept = opened(made.data)
    assert kept.size == size
    red, _, blue = kept.getpixel(corner)  # type: ignore[misc]
    assert (red < 80, blue > 150) == (True, True)


@pytest.mark.parametrize(
    ("sent", "kept"), [((4000, 3000), (2000, 1500)), ((900, 4500), (400, 2000)), ((500, 400), (500, 400))]
)
def test_a_photo_is_made_no_larger_than_it_is_needed(sent: tuple[int, int], kept: tuple[int, int]) -> None:
    made = photo_made(as_file(picture(sent)))
    assert opened(made.data).size == kept
    assert max(opened(made.preview).size) == PREVIEW_EDGE
    assert max(opened(photo_scaled(made.data, 100)).size) == 100
    assert photo_scaled(made.data, 100) == photo_scaled(made.data, 100)


def test_what_shows_through_stands_on_white() -> None:
    clear = Image.new("RGBA", (32, 32), (255, 0, 0, 0))
    assert opened(photo_made(as_file(clear, "PNG")).data).getpixel((16, 16)) == (255, 255, 255)
    pale = Image.new("P", (32, 32), 0)
    pale.putpalette([0, 0, 0] * 256)
    assert opened(photo_made(as_file(pale, "PNG", transparency=0)).data).getpixel((16, 16)) == (255, 255, 255)


def test_colours_are_those_of_any_screen() -> None:
    """A profile that swaps nothing changes nothing; one that can't be read is passed over."""
    same = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    plain = photo_made(as_file(picture(), "PNG"))
    assert photo_made(as_file(picture(), "PNG", icc_profile=same)).sha256 == plain.sha256
    assert photo_made(as_file(picture(), "PNG", icc_profile=b"no profile")).sha256 == plain.sha256
    assert "icc_profile" not in opened(plain.data).info


def test_a_second_picture_that_a_camera_puts_behind_is_left_out() -> None:
    both = as_file(picture(), "MPO", save_all=True, append_images=[picture(colour=(0, 250, 0))])
    assert opened(photo_made(both).data).format == "JPEG"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no picture that can be read"),
        (b"<!doctype html><script>steal()</script>", "no picture that can be read"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" onload="steal()"/>', "no picture that can be read"),
        (as_file(picture(), "GIF"), "no picture that can be read"),
        (as_file(picture(), "BMP"), "no picture that can be read"),
        (as_file(picture((15, 400))), "fewer than 16 show nothing"),
        (as_file(picture(), "PNG", save_all=True, append_images=[picture(colour=(1, 1, 1))]), "moves"),
        (as_file(picture(), "WEBP", save_all=True, append_images=[picture(colour=(1, 1, 1))]), "moves"),
        (as_file(picture((400, 400)))[:-300], "damaged"),
    ],
)
def test_what_is_no_photo_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        photo_made(data)


@pytest.mark.parametrize(("form", "most"), [("PNG", "25 million"), ("JPEG", "50 million")])
def test_more_pixels_than_are_taken_are_refused_before_any_is_unpacked(form: str, most: str) -> None:
    side = 5001 if form == "PNG" else 7072
    with pytest.raises(ValueError, match=most):
        photo_made(as_file(Image.new("L", (side, side)), form))


def test_a_picture_that_claims_to_be_enormous_is_refused() -> None:
    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    bomb = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + b"IHDR" + head + struct.pack(">I", zlib.crc32(b"IHDR" + head))
    with pytest.raises(ValueError, match="no picture that can be read|million are taken"):
        photo_made(bomb + bytes(64))


@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("form", sorted(FORMS))
def test_damaged_bytes_are_taken_or_refused_and_nothing_else_happens(form: str) -> None:
    whole = camera_jpeg() if form == "JPEG" else as_file(picture(), form)
    draw = random.Random(7)  # noqa: S311 - the same draws each time
    for _ in range(300):
        data = bytearray(whole)
        for _ in range(draw.randint(1, 4)):
            data[draw.randrange(len(data))] = draw.randrange(256)
        try:
            made = photo_made(bytes(data))
        except ValueError:
            continue
        assert opened(made.data).format == "JPEG"


@pytest.mark.parametrize(
    "data",
    [
        as_file(picture(), "PNG"),
        as_file(Image.new("L", (64, 64))),
        as_file(picture((LONG_EDGE + 1, 40))),
        as_file(picture((400, 400)))[:-300],
    ],
)
def test_what_was_not_kept_as_a_photo_is_not_opened_as_one(data: bytes) -> None:
    with pytest.raises(ValueError, match="kept as JPEG|damaged"):
        photo_opened(data)


def test_a_profile_without_an_answer_leaves_the_picture(monkeypatch: Any) -> None:
    monkeypatch.setattr("logbook.photos.images.ImageCms.profileToProfile", lambda *said: None)
    same = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert photo_made(as_file(picture(), "PNG", icc_profile=same)).width == 64
