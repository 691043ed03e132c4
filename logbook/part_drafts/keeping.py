"""An act on a part from another program, from its arrival to its signature, or until it is dropped with a reason."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final
from uuid import UUID, uuid4

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Component
from logbook.access import DIRECTOR
from logbook.actions import texts_check
from logbook.models import Entry, Person
from logbook.part_acts import CONFIRMS
from logbook.part_drafts.acts import draft_do, engines_of
from logbook.part_drafts.queries import drafts_of
from logbook.part_drafts.rows import PartDraft
from logbook.people import operator_of
from logbook.signing import PASSWORD, Signing

Kind, State = PartDraft.Kind, PartDraft.State
# Who may sign a draft is who may do the same on its sheet.
ACT_OF: Final = {Kind.LIMIT_ADD: "limits.enter", Kind.LIMIT_REPLACE: "limits.enter"}
MOVES: Final = "part.move"


@dataclass(frozen=True)
class Sent:
    """What another program sent: of which kind, about which part, with which facts, under which number of its own."""

    kind: PartDraft.Kind
    facts: Mapping[str, Any]
    component: Component | None = None
    id: UUID | None = None


def plain(value: Any) -> Any:
    """Return checked facts as plain JSON: records by their numbers, moments, days and decimals as texts."""
    if isinstance(value, Mapping):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple | set):
        return sorted(plain(inner) for inner in value) if isinstance(value, set) else [plain(inner) for inner in value]
    if isinstance(value, models.Model):
        return value.pk
    if isinstance(value, date | datetime):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


@transaction.atomic
def draft_keep(*, sent: Sent, by: Person) -> tuple[PartDraft, bool]:
    """Keep an act as a draft once it is seen that it could be signed, and return it with whether it is new.

    Drafts about the same part that came before are taken as signed for that. Sent again, it changes nothing. Raises
    what the act raises, and DomainError "id_used_with_other_body".
    """
    facts = plain(sent.facts)
    digest = _digest(sent, facts)
    if known := _known(sent, digest, by):
        return known, False
    draft = PartDraft(
        id=sent.id or uuid4(),
        operator_id=operator_of(by),
        kind=sent.kind,
        component=sent.component,
        facts=facts,
        digest=digest,
        sent_by=by,
    )
    entries = _rehearsed(draft, by)
    draft.title = "; ".join(entry.body["title"] for entry in entries)
    draft.told = [list(row) for entry in entries for row in entry.body["part"]]
    try:
        with transaction.atomic():
            draft.save(force_insert=True)
    except IntegrityError:
        # The same id came twice at one moment, and the other request was first.
        known = _known(sent, digest, by)
        if known is None:
            raise
        return known, False
    return draft, True


def _known(sent: Sent, digest: str, by: Person) -> PartDraft | None:
    """Return the draft that was kept under the id before, if any; DomainError where that was something else."""
    known = PartDraft.objects.filter(pk=sent.id).first() if sent.id is not None else None
    if known is not None and (known.operator_id, known.digest) != (by.operator_id, digest):
        words = f"The id {sent.id} was used before, for another body; a new draft needs a new id."
        raise DomainError(words, code="id_used_with_other_body")
    return known


def _rehearsed(draft: PartDraft, by: Person) -> list[Entry]:
    """Return the entries that signing a draft would make, and note its engines; nothing of it is stored."""
    signing = Signing(PASSWORD, CONFIRMS)
    with transaction.atomic():
        for earlier in _before(draft):
            # One that can't be signed any more stands in nobody's way.
            with suppress(DomainError), transaction.atomic():
                draft_do(earlier, by, signing)
        engines = engines_of(draft)
        entries = draft_do(draft, by, signing)
        transaction.set_rollback(True)
    draft.engine, draft.other_engine = (*engines, None, None)[:2]
    return entries


def _before(draft: PartDraft) -> list[PartDraft]:
    """Return the open drafts on which one may rest: about its part, or about the module that it goes into."""
    parent = draft.facts.get("parent") if isinstance(draft.facts, dict) else None
    parts = [draft.component, Component.objects.filter(pk=parent or 0).first()]
    return list(drafts_of([part for part in parts if part is not None]).select_related("component"))


def draft_fault(draft: PartDraft, by: Person) -> DomainError | None:
    """Return why a person can't sign or drop a draft: it is settled, or somebody else's, or their role is another."""
    if draft.state != State.OPEN:
        return DomainError(f"This is {draft.get_state_display().lower()} already.", code="work_closed")
    if by.pk != draft.sent_by_id and by.role != DIRECTOR:
        words = f"{draft.sent_by} sent this and signs it; where they can't, the director does."
        return DomainError(words, code="not_yours")
    if not by.may(ACT_OF.get(Kind(draft.kind), MOVES)):
        return DomainError(f"Your role, {by.get_role_display()}, does not allow this.", code="role_may_not")
    return None


@transaction.atomic
def draft_sign(*, draft: PartDraft, by: Person, signing: Signing, read: str = "") -> list[Entry]:
    """Do what a draft says and sign it; ``read`` is the hash of the texts that were read, where a person read them.

    Raises DomainError "work_closed", "not_yours", "role_may_not", "text_changed", and what the act raises as things
    stand now.
    """
    draft = _held(draft, by)
    entries = draft_do(draft, by, signing)
    texts_check([entry.body for entry in entries], read)
    _close(draft, State.SIGNED, by)
    draft.entries.set(entries)
    return entries


@transaction.atomic
def draft_drop(*, draft: PartDraft, why: str, by: Person) -> PartDraft:
    """Drop a draft that nobody is to sign; it stays readable. DomainError "text_missing" without a reason."""
    draft = _held(draft, by)
    if not why.strip():
        raise DomainError("Say why it is dropped.", code="text_missing", fields={"why": "Say why it is dropped."})
    draft.dropped_why = why.strip()
    _close(draft, State.DROPPED, by)
    return draft


def _held(draft: PartDraft, by: Person) -> PartDraft:
    """Return a draft held until the transaction ends, so that of two at one moment the second is told of the first."""
    held = PartDraft.objects.select_for_update(of=("self",)).select_related("component", "sent_by").get(pk=draft.pk)
    if fault := draft_fault(held, by):
        raise fault
    return held


def _close(draft: PartDraft, state: str, by: Person) -> None:
    draft.state, draft.closed_by, draft.closed_at = state, by, timezone.now()
    draft.save(update_fields=["state", "closed_by", "closed_at", "dropped_why"])


def _digest(sent: Sent, facts: Any) -> str:
    stated = {"kind": sent.kind, "component": sent.component and sent.component.pk, "facts": facts}
    return hashlib.sha256(json.dumps(stated, sort_keys=True, ensure_ascii=False).encode()).hexdigest()
