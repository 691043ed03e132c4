"""How an inspection that an exceedance called for ends under the operator's rules: who may sign, and in which words."""

from engines.errors import DomainError
from engines.queries import engine_times
from engines.times import Times, hours_text
from inspections import states
from inspections.actions.closing import basis_of
from inspections.closing import Closing
from inspections.models import Inspection
from logbook.maintenance.queries import overdue_on
from logbook.maintenance.reading import none_or
from logbook.maintenance.rows import Rules
from logbook.maintenance.rules import named_in, rules_of, template_of
from logbook.models import Certificate
from logbook.statements.coverage import SPECIAL, coverage_fault
from logbook.statements.elements import EASA, REFUSED, WORK
from logbook.statements.required import overdue_words
from logbook.statements.templates import places_in, statement_render


def statement_under_rules(
    inspection: Inspection,
    closing: Closing,
    certificate: Certificate | None,
    said: dict[str, str],
    times: Times | None = None,
) -> str:
    """Return the statement by the operator's template, "" while no rules are chosen.

    ``times`` are the engine's as they are stated, those of now where none are, and then nothing that came due since
    stands against it; ``said`` holds limitations and work left incomplete, which rules may ask for, and why what is
    overdue may stand. Raises DomainError "certificate_does_not_cover", and "closing_refused" where something that the
    statement has to say was not said, or something overdue stands against a release (145.A.50(a)).
    """
    rules = rules_of(inspection.operator_id)
    if rules is None or certificate is None or closing.outcome not in (states.APPROVED, states.NOT_APPROVED):
        return ""
    if fault := coverage_fault(certificate.covers, SPECIAL, rules.ruleset):
        raise DomainError(fault, code="certificate_does_not_cover", fields={"certificate": fault})
    is_approved = closing.outcome == states.APPROVED
    stands = _standing(inspection, rules, said, is_new=times is None) if is_approved else ""
    template = template_of(rules, WORK if is_approved else REFUSED)
    stated = times or engine_times(inspection.engine)
    values = _values(inspection, closing, certificate, stated) | _said(template, said)
    named = named_in(template, rules, inspection.engine, certificate)
    return f"{statement_render(template, values | named)}{stands}"


def _standing(inspection: Inspection, rules: Rules, said: dict[str, str], *, is_new: bool) -> str:
    """Return the sentence on why something overdue may stand, "" where nothing is said of it.

    Raises DomainError "closing_refused" for a new release under rules that let nothing overdue stand unsaid.
    """
    why = said.get("justification", "").strip().rstrip(".")
    overdue = overdue_on(inspection.engine) if is_new and not why and rules.ruleset == EASA else []
    if overdue:
        words = overdue_words(overdue)
        raise DomainError(words, code="closing_refused", fields={"justification": words})
    return f" Overdue, and stands as: {why}." if why else ""


def _said(template: str, said: dict[str, str]) -> dict[str, str]:
    """Return limitations and work left incomplete; DomainError "closing_refused" where the template wants them."""
    values = {}
    for name in ("limitations", "incomplete"):
        text = none_or(said.get(name, ""))
        if text is None and name in places_in(template):
            words = "The rules want it said: say which, or write none."
            raise DomainError(words, code="closing_refused", fields={name: words})
        values[name] = text or "none"
    return values


def _values(inspection: Inspection, closing: Closing, certificate: Certificate, times: Times) -> dict[str, str]:
    engine, day, basis = inspection.engine, closing.completed_on.isoformat(), basis_of(inspection)
    done_to = dict.fromkeys(action.data_reference for action in inspection.actions.all())
    return {
        "signer": closing.signed_name,
        "certificate_kind": certificate.kind,
        "certificate_number": certificate.number,
        "item": f"engine {engine.serial}, type {engine.engine_type.name}",
        "hours": f"{hours_text(times.time_in_service_s)} h",
        "cycles": str(times.cycles),
        "work": f"{inspection.summary}, called for by {basis}: {closing.extent.strip().rstrip('.')}",
        "data": "; ".join(done_to) or inspection.reference or basis,
        "date": day,
        "inspection": f"{inspection.summary}, called for by {basis}",
        "extent": closing.extent.strip(),
        "programme": inspection.summary,
        "part": basis,
        "list": str(inspection.number),
        "list_date": day,
        "recipient": closing.given_to.strip(),
    }
