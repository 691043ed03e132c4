"""What comes of an item of a phone's outbox, and how a sheet's refusal goes back to the phone."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.core.exceptions import ObjectDoesNotExist
from django.http import QueryDict

from engines.errors import DomainError
from engines.models import Engine, Run
from inspections.models import Inspection
from logbook.forms.fields import Sheet
from logbook.outbox.items import box_back

GONE: Final = "The record that this is about is not here. Save it to a file, and show it to the director."


@dataclass(frozen=True)
class Done:
    """What came of an item: in words, where to look at it, and what it is about.

    ``sign`` is where it is signed, ``differs`` where the phone's verdict and the server's are not the same, ``made``
    what photos of it are photos of, ``version`` which state of something that may be written again it left.
    """

    words: str
    link: str
    about: str
    run: Run | None = None
    inspection: Inspection | None = None
    sign: str = ""
    differs: str = ""
    made: str = ""
    version: str = ""
    engine: Engine | None = None


def typed(fields: Sequence[tuple[str, str]]) -> QueryDict:
    """Return boxes as a form takes them."""
    data = QueryDict(mutable=True)
    for name, value in fields:
        data.appendlist(name, value)
    return data


def refused(form: Sheet, *, was: Sequence[str] = (), now: Sequence[str] = ()) -> DomainError:
    """Return what is wrong with a sheet as one refusal, its boxes under the names that they have on the phone."""
    fields = {box_back(name, was, now): " ".join(map(str, errors)) for name, errors in form.errors.items()}
    for field in form.fields.values():
        asked = getattr(field, "asked", None)
        if asked is not None:
            fields[box_back(asked.name, was, now)] = asked.mark
    said = " ".join(dict.fromkeys(" ".join(map(str, errors)) for errors in form.errors.values()))
    return DomainError(said, code="sheet_refused", fields=fields)


def done_with(form: Sheet, action: Callable[[], Any], **charts: Sequence[str]) -> Any:
    """Return what an act makes of a sheet; DomainError "sheet_refused" with every box that is wrong."""
    made = form.act(action)
    if form.errors:
        raise refused(form, **charts)
    return made


def there(query: Callable[[], Any]) -> Any:
    """Return what a query finds; DomainError "record_gone" where it finds nothing that the person may see."""
    try:
        return query()
    except (ObjectDoesNotExist, ValueError) as error:
        raise DomainError(GONE, code="record_gone") from error
