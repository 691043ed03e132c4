"""What screens and REST do: record and judge, then sign; signing writes the entry in the same transaction."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import IO, Any

from django.db import transaction
from django.utils import timezone

from engines import actions as engine_actions
from engines.errors import DomainError
from engines.evidence import RunFacts, TraceFile
from engines.models import Engine, KeyedChart, Run, RunTrace, TypeRevision
from inspections.actions import inspection_close, run_judge
from inspections.closing import Closing
from inspections.models import Inspection, Judgement
from inspections.queries import judgement_of
from logbook.access import DIRECTOR
from logbook.concerns import concern_of_keying, concerns_raise
from logbook.entry_bodies import corrected_body, inspection_body, run_body
from logbook.first_start_asking import asked_by_standing
from logbook.ledger.answers import SUPERSEDED
from logbook.ledger.store import entry_seal
from logbook.maintenance.releases import statement_under_rules
from logbook.models import Certificate, Entry, Person, Unsigned
from logbook.queries import certificates_valid, entry_before, run_entry_of
from logbook.signing import Signing, signed_body, texts_hash
from logbook.supervising import supervision_check

LATER = "It was judged again after that entry was signed, by evidence that came later."
SEEN_LATER = "Photos of it came after that entry was signed."
CHANGED = "It has changed since you read it, and nothing was signed. Read it again as it is now."


def entry_add(
    *, engine: Engine, body: dict[str, Any], by: Person, signing: Signing, read: str = "", **row: Any
) -> Entry:
    """Sign the next entry of the engine's operator; DomainError "text_changed" where another text was ``read``."""
    at = timezone.now().replace(microsecond=0)
    text = signed_body(body, by, signing, at)
    text_check(text, read)
    return entry_seal(
        operator_id=engine.operator_id,
        body=text,
        engine=engine,
        signed_by=by,
        signed_at=at,
        **row,
    )


@transaction.atomic
def run_enter(*, engine: Engine, facts: RunFacts, by: Person, digest: str = "", trace: TraceFile | None = None) -> Run:
    """Record a run with its trace, if there is one already, judge it, and open what it calls for."""
    supervision_check(facts, engine.operator_id)
    run = engine_actions.run_record(engine=engine, facts=facts, by=by, digest=digest)
    if trace is not None:
        engine_actions.trace_add(run=run, by=by, **vars(trace))
    asked_by_standing(run, by)
    _run_judged(run, by)
    return run


def trace_enter(
    *,
    run: Run,
    file: IO[bytes],
    name: str,
    by: Person,
    columns: Mapping[str, str] | None = None,
    units: Mapping[str, str] | None = None,
) -> tuple[RunTrace, bool]:
    """Keep a recorded trace beside a run's other evidence, judge the run again, and return whether the trace was new.

    The same file again changes nothing.
    """
    with transaction.atomic():
        trace = engine_actions.trace_add(run=run, file=file, name=name, by=by, columns=columns, units=units)
        # A trace and the first judgement by it are stored together, so that only a new one has none yet.
        is_new = not run.judgements.filter(trace=trace).exists()
        if is_new:
            _run_judged(run, by)
    return trace, is_new


def _run_judged(run: Run, by: Person) -> None:
    """Judge a run as its evidence is now; it is to be read and signed, once more if it was before."""
    judgement = run_judge(run=run)
    concerns_raise(run, judgement, by)
    about = {"operator_id": run.operator_id, "engine_id": run.engine_id, "recorded_by": by}
    Unsigned.objects.update_or_create(run=run, defaults=about)


def run_sign_fault(waiting: Unsigned | None, by: Person) -> DomainError | None:
    """Return why a person can't sign a run now: it is signed as it stands, or it is somebody else's to sign."""
    if waiting is None:
        return DomainError("This run is signed as it stands.", code="signed_before")
    if by.pk != waiting.recorded_by_id and by.role != DIRECTOR:
        words = f"{waiting.recorded_by} recorded this run and signs it; where they can't, the director does."
        return DomainError(words, code="not_yours")
    return None


def run_text(judgement: Judgement, by: Person, signing: Signing) -> dict[str, Any]:
    """Return the text that signing a run as it is judged would sign; it takes the place of what was signed before."""
    return signed_body(_run_body(judgement, entry_before(judgement)), by, signing, timezone.now())


def _run_body(judgement: Judgement, earlier: Entry | None) -> dict[str, Any]:
    body = run_body(judgement.run, judgement)
    if earlier is None:
        return body
    is_same = earlier.body.get("verdict") == body["verdict"] and earlier.body.get("photos") != body.get("photos")
    return corrected_body(earlier, body, how=SUPERSEDED, why=SEEN_LATER if is_same else LATER)


@transaction.atomic
def run_sign(*, run: Run, by: Person, signing: Signing, read: str = "") -> Entry:
    """Sign a run as it stands; ``read`` is the hash of the text that was read, where a person read one.

    Raises DomainError "signed_before", "not_yours", "not_judged", "certificate_not_valid", and "text_changed" where
    the text is another than was read.
    """
    Run.objects.select_for_update().get(pk=run.pk)
    waiting = Unsigned.objects.filter(run=run).select_related("recorded_by").first()
    if fault := run_sign_fault(waiting, by):
        raise fault
    certificate_check(by, signing.certificate, run.started_at.date())
    judgement = judgement_of(run)
    if judgement is None:
        raise DomainError("This run has not been judged yet.", code="not_judged")
    body = run_text(judgement, by, signing)
    text_check(body, read)
    Unsigned.objects.filter(run=run).delete()
    return entry_add(
        kind=body["kind"],
        engine=run.engine,
        run=run,
        corrects=run_entry_of(run),
        completed_on=run.started_at.date(),
        body=body,
        by=by,
        signing=signing,
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
    signing: Signing,
    outcome: str,
    extent: str,
    completed_on: date,
    given_to: str = "",
    read: str = "",
    **said: str,
) -> Entry:
    """End an inspection as approved or not approved for return to service, and sign its entry.

    ``read`` is the hash of the text that was read, where a person read one; ``said`` may hold limitations, work left
    incomplete and why what is overdue may stand, which the operator's rules may ask for. Raises DomainError
    "certificate_not_valid" where the certificate is not the person's, or was not valid on the day of completion,
    "certificate_does_not_cover" and "closing_refused" under those rules, "text_changed" where the text is another
    than was read.
    """
    certificate = signing.certificate
    certificate_check(by, certificate, completed_on)
    closing = Closing(
        outcome=outcome,
        extent=extent,
        completed_on=completed_on,
        certificate_kind=certificate.kind if certificate else "",
        certificate_number=certificate.number if certificate else "",
        signed_name=str(by),
        given_to=given_to,
    )
    statement = statement_under_rules(inspection, closing, certificate, said)
    release = inspection_close(inspection=inspection, by=by, closing=closing, statement=statement)
    inspection.refresh_from_db()
    meant = replace(signing, meaning=release.statement)
    return entry_add(
        kind=Entry.Kind.INSPECTION,
        engine=inspection.engine,
        run=inspection.run,
        inspection=inspection,
        completed_on=completed_on,
        body=inspection_body(inspection, release),
        by=by,
        signing=meant,
        read=read,
    )


def certificate_check(by: Person, certificate: Certificate | None, on: date) -> None:
    """Raise DomainError "certificate_not_valid" for a certificate of somebody else, or not valid on that day."""
    if certificate is not None and not certificates_valid(by, on).filter(pk=certificate.pk).exists():
        raise DomainError(
            f"{certificate} is not yours, or was not valid on {on}.",
            code="certificate_not_valid",
            fields={"certificate": f"was not valid on {on}"},
        )


def text_check(body: dict[str, Any], read: str) -> None:
    """Raise DomainError "text_changed" where a text was read that is another than the one being signed."""
    texts_check([body], read)


def texts_check(bodies: Sequence[dict[str, Any]], read: str) -> None:
    """Raise DomainError "text_changed" where of texts signed together another was read."""
    if read and texts_hash(bodies) != read:
        raise DomainError(CHANGED, code="text_changed", fields={"read": CHANGED})
