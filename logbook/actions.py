"""What screens and REST do: record, judge, sign; each writes its entry in the same transaction."""

from collections.abc import Mapping
from datetime import date
from typing import IO, Any

from django.db import transaction

from engines import actions as engine_actions
from engines.errors import DomainError
from engines.evidence import RunFacts, TraceFile
from engines.models import Engine, KeyedChart, Operator, Run, RunTrace, TypeRevision
from inspections.actions import inspection_close, run_judge
from inspections.closing import Closing
from inspections.models import Inspection
from logbook.concerns import concern_of_keying, concerns_raise
from logbook.entry_bodies import inspection_body, run_body
from logbook.models import Certificate, Entry, Person
from logbook.queries import certificates_valid


def _entry_add(
    *, kind: str, engine: Engine, completed_on: date, body: dict[str, Any], by: Person, **about: Any
) -> Entry:
    """Add the next entry of the engine's operator; the operator's row is locked, so that numbers have no gaps."""
    operator = Operator.objects.select_for_update().get(pk=engine.operator_id)
    newest = operator.entries.order_by("number").last()
    return Entry.objects.create(
        operator=operator,
        number=newest.number + 1 if newest else 1,
        kind=kind,
        engine=engine,
        completed_on=completed_on,
        body=body,
        signed_by=by,
        **about,
    )


@transaction.atomic
def run_enter(*, engine: Engine, facts: RunFacts, by: Person, digest: str = "", trace: TraceFile | None = None) -> Run:
    """Record a run with its trace, if there is one already, judge it, open what it calls for, and write its entry."""
    run = engine_actions.run_record(engine=engine, facts=facts, by=by, digest=digest)
    if trace is not None:
        engine_actions.trace_add(run=run, by=by, **vars(trace))
    _run_entry(run, by)
    return run


def trace_enter(
    *,
    run: Run,
    file: IO[bytes],
    name: str,
    by: Person,
    columns: Mapping[str, str] | None = None,
    units: Mapping[str, str] | None = None,
) -> RunTrace:
    """Keep a recorded trace beside a run's other evidence, judge the run again, and write its entry.

    The same file again changes nothing.
    """
    with transaction.atomic():
        trace = engine_actions.trace_add(run=run, file=file, name=name, by=by, columns=columns, units=units)
        if not run.judgements.filter(trace=trace).exists():
            _run_entry(run, by)
    return trace


def _run_entry(run: Run, by: Person) -> Entry:
    judgement = run_judge(run=run)
    concerns_raise(run, judgement, by)
    return _entry_add(
        kind=Entry.Kind.RUN,
        engine=run.engine,
        run=run,
        completed_on=run.started_at.date(),
        body=run_body(run, judgement, by),
        by=by,
    )


@transaction.atomic
def limits_key(
    *,
    revision: TypeRevision,
    chart: str,
    figures: Mapping[str, float | None],
    by: Person,
    has_other_lines: bool = False,
    settled_against: str = "",
) -> KeyedChart:
    """Keep a second keying of a draft's chart; where it differs from the draft, that has to be settled."""
    row = engine_actions.chart_key(
        revision=revision,
        chart=chart,
        figures=figures,
        by=by,
        has_other_lines=has_other_lines,
        settled_against=settled_against,
    )
    concern_of_keying(row, by)
    return row


@transaction.atomic
def inspection_sign(
    *,
    inspection: Inspection,
    by: Person,
    certificate: Certificate | None,
    outcome: str,
    extent: str,
    completed_on: date,
    given_to: str = "",
) -> Entry:
    """End an inspection as approved or not approved for return to service, and write its entry.

    Raises DomainError "certificate_not_valid" where the certificate is not the person's, or was not valid
    on the day of completion.
    """
    if certificate is not None and not certificates_valid(by, completed_on).filter(pk=certificate.pk).exists():
        raise DomainError(
            f"{certificate} is not yours, or was not valid on {completed_on}.",
            code="certificate_not_valid",
            fields={"certificate": f"was not valid on {completed_on}"},
        )
    closing = Closing(
        outcome=outcome,
        extent=extent,
        completed_on=completed_on,
        certificate_kind=certificate.kind if certificate else "",
        certificate_number=certificate.number if certificate else "",
        signed_name=str(by),
        given_to=given_to,
    )
    release = inspection_close(inspection=inspection, by=by, closing=closing)
    inspection.refresh_from_db()
    return _entry_add(
        kind=Entry.Kind.INSPECTION,
        engine=inspection.engine,
        run=inspection.run,
        inspection=inspection,
        completed_on=completed_on,
        body=inspection_body(inspection, release, by),
        by=by,
    )
