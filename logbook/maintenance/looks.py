"""The second look at work: which work takes one, who may take it, that it is not accepted, and what is done then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, prefetch_related_objects
from django.utils import timezone

from engines.errors import DomainError
from logbook.access import DIRECTOR
from logbook.maintenance import reading
from logbook.maintenance.locking import work_locked
from logbook.maintenance.look_rows import LookLine, RequiredItem
from logbook.maintenance.queries import may_look
from logbook.maintenance.rows import Work
from logbook.people import operator_of
from logbook.statements.coverage import hands_faults

if TYPE_CHECKING:
    from logbook.models import Person

Outcome = LookLine.Outcome
ITEM: Final = "item_read"  # where what stands on the list is kept beside work as it was read


def required_list(operator: int | None) -> QuerySet[RequiredItem]:
    """Return what the operator designated as required inspection items, by document and section."""
    own = RequiredItem.objects.filter(operator=operator or 0)
    same = own.filter(document__iexact=OuterRef("document"), section__iexact=OuterRef("section"))
    standing = own.filter(~Exists(same.filter(pk__gt=OuterRef("pk"))), is_required=True)
    return standing.select_related("by").order_by("document", "section")


@transaction.atomic
def required_set(*, document: str, section: str, why: str, by: Person, is_required: bool = True) -> RequiredItem:
    """Put work on the operator's list of required inspection items, or take it off, with the reason.

    Raises DomainError "text_missing" without a document or a reason.

    References
    ----------
    14 CFR 135.427(b)(2): the operator designates the items that must be inspected.
    """
    said = {"document": document.strip(), "why": why.strip()}
    words = {"document": "Name the document that the work is done to.", "why": "Say why."}
    missing = {name: words[name] for name, text in said.items() if not text}
    if missing:
        raise DomainError(" ".join(missing.values()), code="text_missing", fields=missing)
    own = {"operator_id": operator_of(by), "section": section.strip(), "is_required": is_required, "by": by}
    return RequiredItem.objects.create(**own, **said)


def item_of(work: Work) -> RequiredItem | None:
    """Return the line of the operator's list by which work is a required inspection item; None where none does.

    Asked once of work as it was read; not at all where it was read with that there is no list.
    """
    document, section = work.said("data_document"), work.said("data_section")
    has_list = getattr(work, "has_required", True)
    if not has_list or not document or work.kind not in (Work.Kind.WORK, Work.Kind.INSPECTION):
        return None
    if ITEM not in vars(work):
        found = required_list(work.operator_id).filter(document__iexact=document)
        vars(work)[ITEM] = found.filter(Q(section="") | Q(section__iexact=section)).first()
    item: RequiredItem | None = vars(work)[ITEM]
    return item


def is_required(work: Work) -> bool:
    """Return whether work is a required inspection item: it is marked so, or stands on the operator's list.

    What is signed stays what it was.
    """
    if bool(work.facts.get("is_required_item")) or work.state == Work.State.SIGNED:
        return bool(work.facts.get("is_required_item"))
    return item_of(work) is not None


def mark_check(work: Work, facts: dict[str, Any], by: Person) -> LookLine | None:
    """Return the line that tells of a mark that is taken away, to be kept; None where it is not.

    Raises DomainError "mark_stays" for anybody but the director, and without a reason.
    """
    if not work.facts.get("is_required_item") or facts.get("is_required_item"):
        return None
    why = str(facts.get("required_why") or "").strip()
    if by.role != DIRECTOR:
        words = "It is marked as a required inspection item; only the director of maintenance takes that mark away."
        raise DomainError(words, code="mark_stays", fields={"is_required_item": words})
    if not why:
        words = "Say why it is no longer a required inspection item; that stands in the entry."
        raise DomainError(words, code="mark_stays", fields={"required_why": words})
    return LookLine(work=work, outcome=Outcome.LIFTED, words=why, by=by)


def looks_of(work: Work) -> list[LookLine]:
    """Return what became of the second look at work, in order of time.

    Asked once of work as it was read; not at all where it was read with that there is nothing.
    """
    if work._state.adding or not getattr(work, "has_looks", True):
        return []
    prefetch_related_objects([work], Prefetch("looks", LookLine.objects.select_related("by").order_by("pk")))
    return list(work.looks.all())


def refusal_of(work: Work) -> LookLine | None:
    """Return the refusal that stands: the newest line, since which nothing was done again."""
    lines = looks_of(work)
    return next(line for line in reversed(lines) if line.outcome == Outcome.REFUSED) if is_refused(lines) else None


def is_refused(lines: Sequence[LookLine]) -> bool:
    """Return whether the newest of some lines says that it is not accepted; a mark taken away says nothing of that."""
    told = [line.outcome for line in lines if line.outcome != Outcome.LIFTED]
    return bool(told) and told[-1] == Outcome.REFUSED


def look_faults(work: Work) -> dict[str, str]:
    """Return that the second look was not accepted, where that stands against signing."""
    refusal = refusal_of(work)
    if refusal is None:
        return {}
    told = f"{refusal.by} did not accept it on {timezone.localtime(refusal.at):%Y-%m-%d}: {refusal.words.rstrip('.')}."
    return {"second": f"{told} Write down what was done again; then it is looked at again."}


@transaction.atomic
def work_second(*, work: Work, by: Person) -> Work:
    """Record the second look at a required inspection item: it is accepted.

    Raises what ``_look_check`` raises, and "refusal_stands" where another inspector did not accept it and nothing was
    done again since; whoever refused may look again, and the director, who is over both (14 CFR 135.427(b)).
    """
    work = _look_check(work, by)
    refusal = refusal_of(work)
    if refusal is not None and by.pk != refusal.by_id and by.role != DIRECTOR:
        who = f"only {refusal.by} or the director of maintenance may accept it"
        raise DomainError(f"{look_faults(work)['second']} As it is, {who}.", code="refusal_stands")
    LookLine.objects.create(work=work, outcome=Outcome.ACCEPTED, by=by)
    return _looked(work, by)


@transaction.atomic
def work_refuse(*, work: Work, why: str, by: Person) -> LookLine:
    """Record that a required inspection item is not accepted, and why; it can't be signed until it was done again.

    Raises what ``_look_check`` raises, and DomainError "text_missing" without a reason.
    """
    work = _look_check(work, by)
    if not why.strip():
        raise DomainError("Say what is not accepted, and why.", code="text_missing", fields={"why": "is missing"})
    _looked(work, None)
    return LookLine.objects.create(work=work, outcome=Outcome.REFUSED, words=why.strip(), by=by)


@transaction.atomic
def work_rework(*, work: Work, words: str, by: Person) -> LookLine:
    """Record what was done again after a required inspection item was not accepted; it is looked at again then.

    Raises DomainError "work_closed", "not_required" where nothing was refused, "text_missing" without words.
    """
    work = work_locked(work)
    if refusal_of(work) is None:
        raise DomainError("Nobody refused the second look at this.", code="not_required")
    if not words.strip():
        raise DomainError("Say what was done again.", code="text_missing", fields={"words": "is missing"})
    return LookLine.objects.create(work=work, outcome=Outcome.REWORKED, words=words.strip(), by=by)


def _look_check(work: Work, by: Person) -> Work:
    """Return work that a person may look at as the second, held until the transaction ends.

    Raises DomainError "work_closed", "not_required" where nothing calls for a second look, "second_person_needed" for
    somebody who had a hand in the work or in doing it again, "not_on_list" where a list of who may inspect what is kept
    and lets them not.
    """
    work = work_locked(work)
    if not is_required(work):
        raise DomainError("This is no required inspection item.", code="not_required")
    hands = replace(reading.hands_of(work), second=str(by))
    fault = hands_faults(str(work.opened_by), hands, is_required_item=True).get("second")
    did_again = work.looks.filter(outcome=Outcome.REWORKED, by=by).exists()
    if fault or did_again or by.pk in (work.opened_by_id, work.changed_by_id):
        words = fault or f"{by} wrote this down, so somebody else has to inspect it."
        raise DomainError(words, code="second_person_needed")
    if not may_look(work, by):
        words = (
            f"The list of who may inspect what has no line of today that lets {by} inspect every item of this engine."
        )
        raise DomainError(words, code="not_on_list")
    return work


def _looked(work: Work, by: Person | None) -> Work:
    vars(work).pop("_prefetched_objects_cache", None)
    work.second_by, work.second_at = by, timezone.now() if by is not None else None
    work.save(update_fields=["second_by", "second_at"])
    return work
