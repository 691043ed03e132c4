"""The demo's photos: drawn here, and saying so."""

from inspections.models import Inspection
from logbook.demo.photos import DRAWERS, drawn, photos_add
from logbook.demo.plan import plan_read
from logbook.models import Person, Photo
from logbook.photos.images import photo_made


def test_every_photo_of_the_plan_is_drawn_and_says_that_it_is(inspection: Inspection, mechanic: Person) -> None:
    planned = [photo for run in plan_read().runs for work in run.work for photo in work.photos]
    assert (len(planned), {photo["shape"] for photo in planned}) == (3, set(DRAWERS))
    photos_add(inspection, planned, mechanic)
    photos_add(inspection, planned, mechanic)
    assert [photo.caption for photo in Photo.objects.all()].count(
        "Magnetic plug as it came out (drawn for the demo)"
    ) == 1
    assert Photo.objects.count() == len(planned)
    assert photo_made(drawn("Plug", "plug")).sha256 != photo_made(drawn("Plug", "wheel")).sha256
