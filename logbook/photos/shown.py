"""What a screen needs to show photos and to take another one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook.forms.photos import PhotoForm
from logbook.photos.queries import Shown, photos_of

if TYPE_CHECKING:
    from engines.models import Run
    from inspections.models import Inspection
    from logbook.maintenance.rows import Work
    from logbook.models import Person

ADD = "photo.add"


@dataclass(frozen=True)
class Photos:
    """The photos of one run, inspection or piece of work, and the sheet for another one where one may be added."""

    rows: list[Shown]
    thing: str
    key: str
    title: str
    form: PhotoForm | None

    @property
    def about(self) -> str:
        """Return of what a photo is, as a phone names it."""
        return f"{self.thing}/{self.key}"


def run_photos(run: Run, person: Person) -> Photos:
    """Return the photos of a run."""
    things = [(f"run/{run.pk}", "The run")]
    form = PhotoForm(things=things, prefix="photo") if person.may(ADD) and not run.is_void else None
    return Photos(photos_of("run", run), "run", str(run.pk), f"Photo of a run of {run.engine.serial}", form)


def inspection_photos(inspection: Inspection, person: Person) -> Photos:
    """Return the photos of an inspection, its steps, findings and actions."""
    form = PhotoForm(things=inspection_things(inspection), prefix="photo") if person.may(ADD) else None
    title = f"Photo of inspection {inspection.number}"
    return Photos(photos_of("inspection", inspection), "inspection", str(inspection.pk), title, form)


def inspection_things(inspection: Inspection) -> list[tuple[str, str]]:
    """Return all that a photo can be of in an inspection, as its sheet offers it."""
    things = [(f"inspection/{inspection.pk}", "The inspection as a whole")]
    things += [(f"step/{step.pk}", f"Step {step.position}") for step in inspection.steps.all()]
    things += [(f"finding/{one.pk}", f"Finding: {one.text[:60]}") for one in inspection.findings.all()]
    return things + [(f"action/{one.pk}", f"Action: {one.description[:60]}") for one in inspection.actions.all()]


def work_photos(work: Work, person: Person) -> Photos:
    """Return the photos of a piece of work."""
    is_open = work.state != work.State.DROPPED
    form = PhotoForm(things=[(f"work/{work.pk}", "The work")], prefix="photo") if person.may(ADD) and is_open else None
    return Photos(photos_of("work", work), "work", str(work.pk), f"Photo of work {work.number}", form)
