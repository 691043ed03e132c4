"""The demo's photos: drawn here, plainly marked as invented, added as people add theirs."""

from collections.abc import Callable, Iterable, Mapping
from io import BytesIO
from typing import Final
from uuid import NAMESPACE_URL, uuid5

from PIL import Image, ImageDraw, ImageFont

from inspections.models import Inspection
from logbook.models import Person
from logbook.photos.actions import PhotoFacts, photo_add
from logbook.photos.things import thing_for

SIZE: Final = (800, 600)
INK, PAPER, METAL, EDGE, PASTE = (20, 20, 20), (236, 232, 224), (150, 154, 160), (90, 94, 100), (70, 66, 62)
MARK: Final = "DEMO: INVENTED, DRAWN AND NOT PHOTOGRAPHED"
BLADES: Final = 24


def photos_add(inspection: Inspection, photos: Iterable[Mapping[str, str]], by: Person) -> None:
    """Add photos of an inspection, each drawn as the ``shape`` and with the ``caption`` that the plan gives it."""
    thing = thing_for(by, "inspection", str(inspection.pk))
    for number, photo in enumerate(photos):
        known = uuid5(NAMESPACE_URL, f"demo photo {inspection.pk} {number}")
        facts = PhotoFacts(known, f"{photo['caption']} (drawn for the demo)")
        photo_add(thing=thing, data=drawn(photo["caption"], photo["shape"]), facts=facts, by=by)


def drawn(caption: str, shape: str) -> bytes:
    """Return a picture of an invented wheel of blades or of a plug's face, with words that say so, as a PNG."""
    image = Image.new("RGB", SIZE, PAPER)
    pen, centre = ImageDraw.Draw(image), (SIZE[0] // 2, SIZE[1] // 2 + 10)
    DRAWERS[shape](pen, centre)
    font = ImageFont.load_default(size=28)
    for line, y in ((MARK, 20), (caption, SIZE[1] - 54)):
        pen.text((SIZE[0] / 2, y), line, fill=INK, font=font, anchor="ma")
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def _wheel(pen: ImageDraw.ImageDraw, centre: tuple[int, int]) -> None:
    for k in range(BLADES):
        first = 360 / BLADES * k
        pen.pieslice(_box(centre, 220), first, first + 9, fill=METAL, outline=EDGE)
    pen.ellipse(_box(centre, 110), fill=EDGE)
    pen.ellipse(_box(centre, 36), fill=PAPER)


def _plug(pen: ImageDraw.ImageDraw, centre: tuple[int, int]) -> None:
    pen.regular_polygon((*centre, 220), 6, fill=EDGE)
    pen.ellipse(_box(centre, 150), fill=METAL)
    pen.ellipse(_box(centre, 60), fill=PASTE)


DRAWERS: Final[dict[str, Callable[[ImageDraw.ImageDraw, tuple[int, int]], None]]] = {"wheel": _wheel, "plug": _plug}


def _box(centre: tuple[int, int], radius: int) -> tuple[int, int, int, int]:
    return centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius
