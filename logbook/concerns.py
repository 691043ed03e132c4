"""What the director has to settle: raised with the record it is about, and settled once, in words."""

from collections.abc import Iterable, Iterator
from datetime import timedelta
from typing import Any, Final

from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.first_starts import MOTORING_KINDS
from engines.latest import meter_before
from engines.models import KeyedChart, Run
from engines.part_due import part_standings_before
from engines.regimes import Usage
from engines.standing import standings_before
from engines.units import symbol_of
from inspections.disagreement import (
    Disagreement,
    areas_apart,
    besides_apart,
    meter_apart,
    motoring_apart,
    usage_apart,
)
from inspections.drawing.words import count_text, figure
from inspections.models import Judgement
from inspections.queries import overdue_of, overdue_words, overrun_of, overrun_words
from inspections.verdict import excursion_read
from logbook.desk import Concern, Settlement
from logbook.drift import drift_begun
from logbook.first_start_state import first_start_then
from logbook.models import Person

LATE_AFTER: Final = timedelta(days=2)  # a run of one day may be written down the next
LONGEST = 500
OWN_DRAFT = "You entered this draft. Where its second keying differs, another director of maintenance has to settle it."


def concerns_raise(run: Run, judgement: Judgement, by: Person) -> None:
    """Raise what of a run as it is recorded and judged now has to be settled; the same is not raised twice."""
    _raise(run, Concern.Kind.LATE, late_words(run), by)
    _raise(run, Concern.Kind.EVIDENCE, evidence_apart(run, judgement), by)
    _raise(run, Concern.Kind.OVERDUE, overdue_then(run), by)
    _raise(run, Concern.Kind.FIRST_START, _before_first_start(run), by)
    _raise(run, Concern.Kind.DRIFT, drift_of_starts(run, judgement), by)
    for said in run.reasons.filter(correction=run.correction):
        about, text = said.field[:120], f"{said.value}. {said.question}"[:LONGEST]
        kept = {"reason": said.reason, "raised_by_id": said.by_id}
        Concern.objects.get_or_create(
            run=run, kind=Concern.Kind.REASON, about=about, text=text, defaults=_about(run) | kept
        )


def _raise(run: Run, kind: str, found: Iterable[Disagreement], by: Person) -> None:
    for concern in found:
        Concern.objects.get_or_create(
            run=run,
            kind=kind,
            about=concern.about,
            text=concern.words[:LONGEST],
            defaults=_about(run) | {"raised_by": by},
        )


def _about(run: Run) -> dict[str, Any]:
    return {"operator_id": run.operator_id, "engine_id": run.engine_id}


def late_words(run: Run) -> Iterator[Disagreement]:
    """Yield that a run was recorded late, where it was."""
    late = run.recorded_at - run.started_at
    if late > LATE_AFTER:
        yield Disagreement("The run", f"recorded {count_text(late.days, 'day')} after it began")


def overdue_then(run: Run) -> Iterator[Disagreement]:
    """Yield each mandatory task and each limit of a part that was overdue when a run began, or can't be known."""
    for standing in overdue_of(standings_before(run)):
        yield Disagreement(standing.task.title[:120], f"when the run began: {overdue_words(standing)}")
    for part in overrun_of(part_standings_before(run)):
        yield Disagreement(part.title[:120], f"when the run began: {overrun_words(part)}")


def _before_first_start(run: Run) -> Iterator[Disagreement]:
    """Yield that a run as usual began before a first start was completed."""
    for words in first_start_then(run):
        yield Disagreement("First start", f"when the run began: {words}")


def drift_of_starts(run: Run, judgement: Judgement) -> Iterator[Disagreement]:
    """Yield each figure of the engine's starts whose drift begins to be signalled with this run."""
    for label, words in drift_begun(run, judgement.revision.data):
        yield Disagreement(label, words)


def evidence_apart(run: Run, judgement: Judgement) -> list[Disagreement]:
    """Return where what was written of a run and its trace do not agree; nothing where there is only one of them."""
    if judgement.trace_id is None:
        return []
    document, data = judgement.verdict, judgement.revision.data
    refused = {line["chart"] for line in document["not_judged"]}
    charts = [chart for chart in data.charts if chart.name not in refused]
    read = {reading.chart for reading in run.standing_readings}
    excursions = [excursion_read(line) for line in document["excursions"]]
    usage = Usage(**document["usage"]) if document["usage"] else None
    typed = {"run_time_s": run.typed_run_time_s, "starts": run.typed_starts, "cycles": run.typed_cycles}
    besides = besides_apart(
        judgement.trace.shown if judgement.trace else {},
        time_in_service_s=run.typed_time_in_service_s,
        partial_cycles=run.typed_partial_cycles,
    )
    areas = areas_apart(charts, excursions, read)
    lit = motoring_apart(usage, run.get_kind_display()) if run.kind in MOTORING_KINDS else []
    return [*areas, *usage_apart(usage, **typed), *lit, *besides, *_meter_apart(run, usage)]


def _meter_apart(run: Run, usage: Usage | None) -> list[Disagreement]:
    """Return where meter and trace disagree, unless a reason for just that was given when the run was recorded."""
    before = meter_before(run.engine, run.started_at) if run.typed_meter_h is not None else None
    found = meter_apart(usage, meter_h=run.typed_meter_h, before=before, run_time_s=run.typed_run_time_s)
    reasons = run.reasons.filter(correction=run.correction)
    answered = set(reasons.values_list("question", flat=True)) if found else set()
    return [concern for concern in found if concern.words not in answered]


def concern_of_keying(row: KeyedChart, by: Person) -> Concern | None:
    """Raise a second keying that differs from the draft; None where it agrees."""
    if row.agrees:
        return None
    return Concern.objects.create(
        operator_id=row.revision.engine_type.operator_id,
        kind=Concern.Kind.KEYING,
        revision=row.revision,
        about=row.chart,
        text="; ".join(keying_words(row))[:LONGEST],
        raised_by=by,
    )


def keying_words(row: KeyedChart) -> list[str]:
    """Return where a second keying differs from the draft, one line for each figure."""
    lines = [_difference_words(**difference) for difference in row.differences]
    return [*lines, "the source has more or fewer lines than the draft"] if row.has_other_lines else lines


def _difference_words(words: str, unit: str, entered: float, keyed: float | None) -> str:
    symbol = f" {symbol_of(unit)}" if unit else ""
    second = "nothing" if keyed is None else f"{figure(keyed, [entered])}{symbol}"
    return f"{words}: entered {figure(entered, [] if keyed is None else [keyed])}{symbol}, keyed {second}"


def is_of_own_draft(concern: Concern, by: Person) -> bool:
    """Return whether a second keying differs from a draft that the person entered."""
    return concern.revision is not None and concern.revision.entered_by_id == by.pk


@transaction.atomic
def concern_settle(*, concern: Concern, decision: str, note: str, by: Person) -> Settlement:
    """Settle a concern by one decision with a note.

    Raises DomainError "decision_missing" for a decision that is none, "text_missing" without a note,
    "settled_before" where somebody has settled it, "second_person_needed" for whoever entered the draft in question.
    """
    if decision not in Settlement.Decision.values:
        raise DomainError("Choose what is decided.", code="decision_missing", fields={"decision": "is missing"})
    if not note.strip():
        raise DomainError("Say in a note why it is decided so.", code="text_missing", fields={"note": "is missing"})
    concern = Concern.objects.select_for_update().get(pk=concern.pk)
    if is_of_own_draft(concern, by):
        raise DomainError(OWN_DRAFT, code="second_person_needed")
    known = Settlement.objects.filter(concern=concern).select_related("settled_by").first()
    if known is not None:
        when = timezone.localtime(known.settled_at)
        raise DomainError(f"{known.settled_by} settled it, {when:%Y-%m-%d %H:%M}: {known}.", code="settled_before")
    return Settlement.objects.create(concern=concern, decision=decision, note=note.strip(), settled_by=by)
