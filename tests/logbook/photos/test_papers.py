"""Photos on paper: figures with their words and hashes, and none that is not the one that was signed."""

import io
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from inspections.models import Inspection
from logbook.models import Entry, Person, Photo
from logbook.photos.images import photo_made
from logbook.photos.papers import PRINTED_EDGE, entry_photos
from logbook.press import press_for
from logbook.print_sets import entry_print_of
from logbook.printing.paper import TEXT_HEIGHT
from logbook.printing.photos import NOT_AT_HAND, TALLEST, photos_section
from tests.logbook.photos.kit import photo_of
from tests.logbook.photos.pictures import as_file, camera_jpeg, picture
from tests.logbook.printing.reading import text_of
from tests.signed import run_signed


@pytest.fixture
def entry(inspection: Inspection, mechanic: Person) -> Entry:
    """Return the entry of a run with three photos."""
    for k, size in enumerate([(1600, 1200), (600, 800), (300, 200)]):
        photo_of(mechanic, "run", inspection.run_id, data=camera_jpeg(size), caption=f"Seal {k}")
    return run_signed(inspection.run, mechanic)


def printed(entry: Entry) -> bytes:
    """Return an entry on paper."""
    return entry_print_of(entry.signed_by, entry.number, press_for(entry.signed_by, "a4", "http://testserver/"))


def test_photos_are_printed_as_figures_with_words_and_hash(entry: Entry) -> None:
    content = printed(entry)
    text = text_of(content)
    for number, told in enumerate(entry.body["photos"], 1):
        assert f"Figure {number}: {told['caption']}. Of the run." in text
        assert f"SHA-256, first 16 digits: {told['sha256'][:16]}" in text
    sizes = [image.image.size for page in PdfReader(io.BytesIO(content)).pages for image in page.images if image.image]
    assert {(PRINTED_EDGE, 675), (600, 800), (300, 200)} <= set(sizes)


def test_the_same_entry_draws_the_same_pictures(entry: Entry) -> None:
    assert entry_photos(entry) == entry_photos(Entry.objects.get(pk=entry.pk))


@pytest.mark.parametrize("how", ["gone", "changed"])
def test_a_photo_that_is_not_the_signed_one_is_not_printed(how: str, entry: Entry) -> None:
    photo = Photo.objects.get(caption="Seal 1")
    path = Path(photo.file.path)
    path.unlink()
    if how == "changed":
        path.write_bytes(photo_made(as_file(picture((600, 800), colour=(0, 255, 0)))).data)
    text = text_of(printed(entry))
    assert f"{NOT_AT_HAND} Figure" in text
    assert len(entry_photos(entry)) == 2


def test_a_figure_keeps_its_shape_and_fits_its_column() -> None:
    told = {
        "sha256": "a",
        "caption": "",
        "of": "the run",
        "by": "A",
        "at": None,
        "kept_at": "2026-05-04T09:30:00+02:00",
    }
    assert photos_section({}, {}) == []
    for size in ((400, 100), (100, 4000)):
        heading, _, table = photos_section({"photos": [told]}, {"a": as_file(Image.new("RGB", size))})
        image = table._cellvalues[0][0][0]
        assert image.drawHeight <= TALLEST < TEXT_HEIGHT
        assert image.drawWidth / image.drawHeight == pytest.approx(size[0] / size[1])
        assert heading is not None
