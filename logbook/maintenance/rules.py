"""The rule-set that an operator works to, and the templates of its statements."""

from typing import Final

from django.db import transaction

from engines.errors import DomainError
from engines.models import Engine, Operator
from logbook.maintenance.rows import Rules
from logbook.models import Certificate, Person
from logbook.people import operator_of
from logbook.statements.coverage import ENGINEER
from logbook.statements.elements import AUSTRALIA, EASA, ELEMENTS, OUTCOMES, PLACES, RULESETS
from logbook.statements.standard import STANDARD
from logbook.statements.templates import places_in, template_faults

# For a look at what a template comes to; invented, and said so where it is shown.
EXAMPLE: Final = {name: f"[{words}]" for name, words in PLACES.items()}


def rules_of(operator_id: int | None) -> Rules | None:
    """Return the rules that an operator works to now, or None while nobody has chosen."""
    return Rules.objects.filter(operator=operator_id or 0).select_related("by").last()


def rules_needed(operator_id: int) -> Rules:
    """Return the rules that an operator works to; DomainError "rules_missing" while nobody has chosen."""
    rules = rules_of(operator_id)
    if rules is None:
        raise DomainError(
            "It is not chosen yet under which rules this operator releases to service; the director of maintenance "
            "chooses them.",
            code="rules_missing",
        )
    return rules


def template_of(rules: Rules, outcome: str) -> str:
    """Return the template of an outcome: the operator's own, or the standard one."""
    own: str | None = rules.templates.get(outcome)
    return own or STANDARD[rules.ruleset][outcome]


def named_in(template: str, rules: Rules, engine: Engine, certificate: Certificate) -> dict[str, str]:
    """Return what a statement by a template says of organisation, approval and aircraft.

    Raises DomainError "release_unnamed" for what it has to name and nobody entered: the aircraft, and under
    CASR 42.760 the approval that a person's authorisation is of; a licence stands by itself.
    """
    places = places_in(template)
    named = {"organisation": rules.organisation, "approval": rules.approval, "registration": engine.fitted_to.strip()}
    if "registration" in places and not named["registration"]:
        words = f"It names the aircraft, and engine {engine.serial} is recorded as fitted to none."
        raise DomainError(words, code="release_unnamed", fields={"registration": words})
    if rules.ruleset != AUSTRALIA or "approval" not in places or named["approval"]:
        return named
    if ENGINEER not in certificate.covers:
        words = "An authorisation is of an approved organisation: the director enters its approval with the rules."
        raise DomainError(words, code="release_unnamed", fields={"approval": words})
    return named | {"approval": "none, by the signer's own licence"}


def outcomes_of(rules: Rules) -> dict[str, str]:
    """Return the outcomes that the rules have, with their words."""
    return {outcome: OUTCOMES[outcome] for outcome in ELEMENTS[rules.ruleset]}


@transaction.atomic
def rules_choose(*, by: Person, ruleset: str, organisation: str = "", approval: str = "") -> Rules:
    """Choose the rule-set; templates of the operator's own stay where the rule-set stays.

    Raises DomainError "rules_unknown", and "text_missing" where the rules want the organisation named and it is not.
    """
    if ruleset not in RULESETS:
        raise DomainError(f"There is no rule-set {ruleset!r}.", code="rules_unknown", fields={"ruleset": "not known"})
    missing = {
        name: "These rules want it in every statement."
        for name, text in (("organisation", organisation), ("approval", approval))
        if ruleset == EASA and not text.strip()
    }
    if missing:
        raise DomainError("Name the organisation and its approval.", code="text_missing", fields=missing)
    operator = _locked(by)
    before = rules_of(operator)
    stay = before.templates if before is not None and before.ruleset == ruleset else {}
    return Rules.objects.create(
        operator_id=operator,
        ruleset=ruleset,
        organisation=organisation.strip(),
        approval=approval.strip(),
        templates=stay,
        by=by,
    )


@transaction.atomic
def template_change(*, by: Person, outcome: str, template: str) -> Rules:
    """Keep a template of the operator's own; "" goes back to the standard one.

    Raises DomainError "rules_missing", "rules_unknown" for an outcome that the rules don't have, and
    "template_refused" with what the template lacks, by the element's key.
    """
    operator = _locked(by)
    rules = rules_needed(operator)
    if outcome not in ELEMENTS[rules.ruleset]:
        raise DomainError(f"{rules} has no such outcome.", code="rules_unknown")
    faults = template_faults(template, rules.ruleset, outcome) if template.strip() else {}
    if faults:
        raise DomainError(" ".join(faults.values()), code="template_refused", fields=faults)
    own = {name: text for name, text in rules.templates.items() if name != outcome}
    if template.strip():
        own[outcome] = " ".join(template.split())
    return Rules.objects.create(
        operator_id=operator,
        ruleset=rules.ruleset,
        organisation=rules.organisation,
        approval=rules.approval,
        templates=own,
        by=by,
    )


def template_preview(template: str) -> str:
    """Return what a template comes to, with the name of each value in brackets; "" where it can't be read."""
    try:
        places_in(template)
    except ValueError:
        return ""
    return template.format_map(EXAMPLE)


def _locked(by: Person) -> int:
    """Return the person's operator, whose row is held until the transaction ends."""
    return Operator.objects.select_for_update().get(pk=operator_of(by)).pk
