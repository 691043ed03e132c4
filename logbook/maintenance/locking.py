"""Work held while something is done to it."""

from engines.errors import DomainError
from logbook.maintenance.rows import Work


def work_locked(work: Work) -> Work:
    """Return work that is still open, held until the transaction ends; DomainError "work_closed" otherwise."""
    found = Work.objects.select_for_update(of=("self",)).select_related("engine__engine_type", "engine__operator")
    work = found.select_related("opened_by", "changed_by", "second_by").get(pk=work.pk)
    if work.state != Work.State.OPEN:
        raise DomainError(f"{work} is {work.get_state_display().lower()}.", code="work_closed")
    return work
