"""A run recorded once, however often it is sent: by the screen and by REST alike."""

import hashlib
import json
from dataclasses import asdict, replace

from django.db import IntegrityError

from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.models import Engine, Run
from logbook.actions import run_enter
from logbook.models import Person


def body_digest(facts: RunFacts, engine: Engine) -> str:
    """Return the SHA-256 by which a repeat is known: of everything stated but the id."""
    stated = asdict(replace(facts, supervisor=None)) | {"engine": engine.pk, "started_at": facts.started_at.timestamp()}
    del stated["id"]
    # What came later is left out where it is not stated, so that what was sent before it is known again.
    later = {"typed_starter_s": facts.typed_starter_s, "trainee": facts.trainee, "supervisor": facts.supervisor}
    for name, said in later.items():
        del stated[name]
        if said not in (None, ""):
            stated[name] = str(said)
    canonical = json.dumps(stated, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def run_once(*, engine: Engine, facts: RunFacts, by: Person, digest: str = "") -> bool:
    """Record a run, and return whether it was new; DomainError if its id stands for something else."""
    digest = digest or body_digest(facts, engine)
    if not Run.objects.filter(pk=facts.id).exists():
        try:
            run_enter(engine=engine, facts=facts, by=by, digest=digest)
        except IntegrityError:
            # The same id may have come twice at one moment, and the other request was first.
            if not Run.objects.filter(pk=facts.id).exists():
                raise
        else:
            return True
    if not Run.objects.filter(pk=facts.id, operator=by.operator_id, request_digest=digest).exists():
        raise DomainError(
            f"The id {facts.id} was used before, for another body; a new run needs a new id.",
            code="id_used_with_other_body",
        )
    return False
