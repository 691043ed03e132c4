"""A photo taken in error is struck before it is signed; one that came after signing is taken up by an addendum."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from engines.models import Engine
from inspections.models import Inspection
from logbook.ledger.checking import ledger_check
from logbook.ledger.evidence import evidence_check
from logbook.maintenance.sections import sections_of
from logbook.models import Entry, Person, Photo
from logbook.photos.actions import photo_strike
from logbook.photos.addenda import MEANING, addendum_corrected, addendum_sign
from logbook.photos.queries import photos_later
from tests.logbook.photos.kit import photo_of
from tests.logbook.photos.test_record import ended
from tests.logbook.screen_kit import PASSWORD as SECRET
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_corrections import correcting
from tests.signed import signing_of


@pytest.fixture
def entry(inspection: Inspection, mechanic: Person) -> Entry:
    """Return a signed inspection, of which a photo came afterwards."""
    made = ended(inspection, mechanic)
    photo_of(mechanic, "inspection", inspection.pk, caption="Afterwards")
    return made


def refusal(code: str, act: object, **said: object) -> str:
    """Expect a refusal of that code, and return its words."""
    with pytest.raises(DomainError) as caught:
        act(**said)  # type: ignore[operator]
    assert caught.value.code == code
    return caught.value.message


def test_a_struck_photo_is_told_by_no_entry_and_stays_readable(
    client: Client, inspection: Inspection, mechanic: Person, inspector: Person
) -> None:
    wrong = photo_of(mechanic, "inspection", inspection.pk, caption="Of a boot")
    right = photo_of(mechanic, "inspection", inspection.pk)
    refusal("not_yours", photo_strike, photo=wrong, reason="Mine", by=inspector)
    refusal("text_missing", photo_strike, photo=wrong, reason=" ", by=mechanic)
    page = reverse("photo_detail", args=[wrong.pk])
    assert "Strike it, taken in error" in words(signed_in(client, mechanic).get(page))
    sent = client.post(reverse("photo_strike", args=[wrong.pk]), {"reason": "Taken of a boot"}, follow=True)
    assert "Taken of a boot" in words(sent) and "None, and none will." in words(sent)
    assert "Strike it, taken in error" not in words(sent)
    seen = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert "Struck: Taken of a boot. No entry tells it." in seen
    made = ended(inspection, mechanic)
    assert [told["id"] for told in made.body["photos"]] == [str(right.pk)]
    assert photos_later(made) == []
    again = client.post(reverse("photo_strike", args=[wrong.pk]), {"reason": "Again"}, follow=True)
    assert "It was struck before." in words(again)
    assert "tells it, and stays as it was signed" in refusal(
        "photo_refused", photo_strike, photo=right, reason="x", by=mechanic
    )


def test_an_addendum_takes_up_what_came_after_signing(client: Client, entry: Entry, mechanic: Person) -> None:
    page = reverse("entry_detail", args=[entry.number])
    address = reverse("entry_add_photos", args=[entry.number])
    assert "Add them by an addendum" in words(signed_in(client, mechanic).get(page))
    assert "Remarks Your certificate Choose a certificate" in words(client.get(address))
    read = client.post(address, {"remarks": "Blade 3 after cleaning"})
    assert "Blade 3 after cleaning" in words(read)
    mark = re.search(r'name="read" value="(\w+)"', read.content.decode())
    assert mark is not None
    said = {"remarks": "Blade 3 after cleaning", "stage": "sign", "read": mark[1], "password": SECRET}
    assert client.post(address, said).status_code == 302
    made = Entry.objects.get(kind="addendum")
    photo = Photo.objects.get()
    assert [told["id"] for told in made.body["photos"]] == [str(photo.pk)]
    assert made.body["signed"]["meaning"] == MEANING
    ((title, rows),) = [(section.title, dict(section.rows)) for section in sections_of(made.body)]
    assert (title, rows["Belongs to"]) == ("Addendum", f"Entry {entry.number}: {entry.body['title']}")
    assert (rows["Hash of that entry"], rows["Remarks"]) == (entry.leaf_hash, "Blade 3 after cleaning")
    after = words(client.get(page))
    assert f"Added to it since: Entry {made.number}, Addendum to entry {entry.number}" in after
    assert "Photos added after this was signed" not in after
    assert "Photos added after this was signed" not in words(client.get(reverse("entry_detail", args=[made.number])))
    assert "No photo of it waits" in words(client.post(address, said, follow=True))
    assert ledger_check(made.operator).size == made.number
    assert evidence_check(made.operator) > 0
    print_of = client.get(reverse("entry_print", args=[made.number]))
    assert (print_of.status_code, print_of["Content-Type"]) == (200, "application/pdf")


def test_an_addendum_is_signed_by_who_signed_the_entry_or_the_director(
    engine: Engine, entry: Entry, mechanic: Person, inspector: Person, director: Person
) -> None:
    refusal("not_yours", addendum_sign, entry=entry, remarks="", by=inspector, signing=signing_of(inspector, ""))
    said = {"remarks": "", "by": director, "signing": signing_of(director, "")}
    refusal("text_changed", addendum_sign, entry=entry, **said, read="0" * 64)
    run = Entry.objects.filter(kind__in=Entry.RUNS).first()
    assert run is not None
    refusal("not_correctable", addendum_sign, entry=run, **said)
    assert addendum_sign(entry=entry, **said).signed_by == director


def test_r_cor_2_what_can_not_be_corrected_of_an_addendum_is_said(
    entry: Entry, mechanic: Person, inspector: Person
) -> None:
    said = {"remarks": "Seen again", "by": mechanic, "signing": signing_of(mechanic, MEANING)}
    made = addendum_sign(entry=entry, **said)
    own, others = correcting(mechanic), correcting(inspector)
    refusal("not_correctable", addendum_corrected, entry=entry, remarks="Other", correcting=own)
    refusal("not_yours", addendum_corrected, entry=made, remarks="Other", correcting=others)
    refusal("nothing_changed", addendum_corrected, entry=made, remarks="Seen again", correcting=own)
    refusal("text_missing", addendum_corrected, entry=made, remarks="Other", correcting=correcting(mechanic, " "))
    newer = addendum_corrected(entry=made, remarks="Other", correcting=own)
    assert (newer.corrects, newer.body["photos"]) == (made, made.body["photos"])
    refusal("corrected_before", addendum_corrected, entry=made, remarks="Another", correcting=own)
