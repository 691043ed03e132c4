"""A photo is taken in once, lies under its hash, and hangs on one thing of one operator."""

from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ObjectDoesNotExist

from engines.errors import DomainError
from engines.models import Engine
from inspections import actions
from inspections.models import Inspection
from logbook.concerns import concern_settle
from logbook.maintenance.actions import work_drop, work_open
from logbook.maintenance.rows import Work
from logbook.models import Concern, Person, Photo, Unsigned
from logbook.photos.queries import photo_for, photos_of, photos_read, photos_told
from logbook.photos.storing import photo_store
from logbook.photos.things import thing_for
from tests.factories import EngineFactory, PersonFactory
from tests.logbook.photos.kit import photo_of, photo_sent
from tests.logbook.photos.pictures import camera_jpeg
from tests.signed import run_signed


def code_of(act: Any) -> str:
    """Return the code by which an act is refused."""
    with pytest.raises(DomainError) as caught:
        act()
    return caught.value.code


def files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def test_a_photo_hangs_on_what_it_is_of(inspection: Inspection, mechanic: Person) -> None:
    step, run = inspection.steps.get(position=1), inspection.run
    finding = actions.finding_add(inspection=inspection, text="Nick in a blade", by=mechanic)
    about = {"description": "Blended", "data_reference": "invented manual 72-00", "completed_on": run.started_at.date()}
    action = actions.action_add(inspection=inspection, by=mechanic, **about)
    work = work_open(engine=run.engine, kind="work", facts={}, by=mechanic)
    of = {
        ("run", run.pk): "the run",
        ("inspection", inspection.pk): "the inspection",
        ("step", step.pk): "step 1",
        ("finding", finding.pk): "the finding “Nick in a blade”",
        ("action", action.pk): "the action “Blended”",
        ("work", work.pk): "the work",
    }
    found = {key: photo_of(mechanic, *key).of for key in of}
    assert found == of
    assert Photo.objects.filter(inspection=inspection).count() == 4
    assert [photo.of for photo in photos_of("work", work)] == ["the work"]


def test_the_same_photo_again_changes_nothing(inspection: Inspection, mechanic: Person, photo_folder: Path) -> None:
    number, data = uuid4(), camera_jpeg((640, 480))
    first, is_new = photo_sent(mechanic, "run", inspection.run_id, data=data, id=number, caption="Seal")
    again, is_new_again = photo_sent(mechanic, "run", inspection.run_id, data=data, id=number, caption="Seal")
    assert (first, is_new, is_new_again) == (again, True, False)
    other = camera_jpeg(colour=(1, 2, 3))
    for thing, sent in (("run", other), ("inspection", data)):
        key = inspection.run_id if thing == "run" else inspection.pk
        act = lambda thing=thing, key=key, sent=sent: photo_of(mechanic, thing, key, data=sent, id=number)  # noqa: E731
        assert code_of(act) == "id_used_with_other_body"
    assert (Photo.objects.count(), len(files(photo_folder))) == (1, 2)


def test_files_lie_under_their_hashes_and_operators_apart(
    inspection: Inspection, mechanic: Person, photo_folder: Path
) -> None:
    photo = photo_of(mechanic, "run", inspection.run_id)
    photo_of(mechanic, "inspection", inspection.pk)
    for path in files(photo_folder):
        digest = sha256(path.read_bytes()).hexdigest()
        assert path.relative_to(photo_folder) == Path(f"photos/{mechanic.operator_id}/{digest[:2]}/{digest}.jpg")
    assert {photo.sha256, photo.preview_sha256} == {path.stem for path in files(photo_folder)}
    name, _ = photo_store(0, b"other")
    assert name.startswith("photos/0/")


def test_a_file_that_was_cut_off_is_not_taken_for_the_photo(photo_folder: Path) -> None:
    name, digest = photo_store(1, b"the whole")
    (photo_folder / name).write_bytes(b"the")
    again, same = photo_store(1, b"the whole")
    assert (again != name, same, (photo_folder / again).read_bytes()) == (True, digest, b"the whole")


def test_another_operators_things_are_not_there(inspection: Inspection, mechanic: Person, stranger: Person) -> None:
    photo = photo_of(mechanic, "step", inspection.steps.get(position=1).pk)
    keys = {"run": inspection.run_id, "inspection": inspection.pk, "step": photo.step_id, "item": uuid4()}
    for thing, key in keys.items():
        with pytest.raises(ObjectDoesNotExist):
            thing_for(stranger, thing, str(key))
    with pytest.raises(ObjectDoesNotExist):
        photo_for(stranger, photo.pk)
    assert photo_for(mechanic, photo.pk) == photo


@pytest.mark.parametrize(("thing", "key"), [("engine", "1"), ("run", "x"), ("step", "x"), ("work", "1"), ("item", "x")])
def test_what_is_nothing_is_not_there(thing: str, key: str, mechanic: Person) -> None:
    with pytest.raises(ObjectDoesNotExist):
        thing_for(mechanic, thing, key)


def test_what_is_no_photo_is_refused_and_leaves_nothing(
    inspection: Inspection, mechanic: Person, photo_folder: Path
) -> None:
    assert code_of(lambda: photo_of(mechanic, "run", inspection.run_id, data=b"<html>")) == "photo_unusable"
    assert files(photo_folder) == []


def test_no_more_are_taken_than_the_site_allows(inspection: Inspection, mechanic: Person, settings: Any) -> None:
    settings.PHOTOS_MOST = 2
    photo_of(mechanic, "inspection", inspection.pk)
    photo_of(mechanic, "step", inspection.steps.get(position=1).pk)
    assert code_of(lambda: photo_of(mechanic, "inspection", inspection.pk)) == "photos_enough"
    assert photo_of(mechanic, "run", inspection.run_id).of == "the run"


def test_nothing_is_added_to_what_is_void_or_dropped(inspection: Inspection, mechanic: Person) -> None:
    work = work_open(engine=inspection.engine, kind="work", facts={}, by=mechanic)
    work_drop(work=work, why="Begun twice", by=mechanic)
    run = inspection.run
    run.is_void = True
    run.save()
    assert code_of(lambda: photo_of(mechanic, "work", work.pk)) == "photo_refused"
    assert code_of(lambda: photo_of(mechanic, "run", run.pk)) == "photo_refused"


def test_a_signed_run_is_to_be_signed_once_more(inspection: Inspection, mechanic: Person) -> None:
    run = inspection.run
    assert not Unsigned.objects.filter(run=run).exists()
    photo_of(mechanic, "run", run.pk)
    assert Unsigned.objects.get(run=run).recorded_by == mechanic
    entry = run_signed(run, mechanic)
    assert entry.body["correction"]["why"] == "Photos of it came after that entry was signed."
    assert [told["of"] for told in entry.body["photos"]] == ["the run"]
    assert entry.body["correction"]["changes"][0]["what"] == "Photo of the run"


def test_a_photo_after_closing_is_put_to_the_director(inspection: Inspection, mechanic: Person) -> None:
    Inspection.objects.filter(pk=inspection.pk).update(state="approved")
    photo_of(mechanic, "inspection", inspection.pk)
    photo_of(mechanic, "inspection", inspection.pk)
    concern = Concern.objects.get(kind="kept_late")
    assert (concern.about, concern.run) == (f"Inspection {inspection.number}", inspection.run)


def test_a_photo_after_that_was_settled_is_put_to_the_director_again(
    inspection: Inspection, mechanic: Person, director: Person
) -> None:
    Inspection.objects.filter(pk=inspection.pk).update(state="approved")
    photo_of(mechanic, "inspection", inspection.pk)
    first = Concern.objects.get(kind="kept_late")
    concern_settle(concern=first, decision="stands", note="Seen", by=director)
    photo_of(mechanic, "inspection", inspection.pk)
    photo_of(mechanic, "inspection", inspection.pk)
    (again,) = Concern.objects.filter(kind="kept_late", settlement=None)
    assert again.text == f"{first.text} Settled before: 1."


def test_another_operators_work_of_the_same_number_hides_none(engine: Engine, mechanic: Person) -> None:
    other = PersonFactory.create(role="mechanic")
    for person, own in ((mechanic, engine), (other, EngineFactory.create(operator=other.operator))):
        work = work_open(engine=own, kind=Work.Kind.WORK, facts={"description": "Filter"}, by=person)
        Work.objects.filter(pk=work.pk).update(state=Work.State.SIGNED)
        photo_of(person, "work", work.pk)
    assert Concern.objects.filter(kind="kept_late").values("operator").distinct().count() == 2


def test_photos_told_in_another_query_are_those_that_are_read(inspection: Inspection, mechanic: Person) -> None:
    for k in range(3):
        photo_of(mechanic, "inspection", inspection.pk, caption=f"No. {k} “é”", kept_at=inspection.opened_at)
    photo_of(mechanic, "run", inspection.run_id)
    row = Inspection.objects.annotate(photos_told=photos_told("inspection")).get(pk=inspection.pk)
    told = photos_of("inspection", row)
    assert told == photos_read(row.photos_told)
    assert sorted(told, key=lambda one: one.caption) == sorted(
        photos_of("inspection", inspection), key=lambda one: one.caption
    )
    assert (len(told), told[0].kept_at) == (3, inspection.opened_at)
    assert photos_read(None) == []
