"""What a person prints with: the sheet, the stamp, the operator's signature, and the address that a QR names."""

from dataclasses import dataclass
from typing import cast

from django.conf import settings
from django.http import HttpResponse
from django.utils import timezone

from logbook.models import Person
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.running import Stamp
from logbook.printing.sealing import Seal, sealed
from logbook.printing.wording import UNSIGNED
from logbook.seals import seal_of


@dataclass(frozen=True)
class Press:
    """The sheet, the stamp, the operator's seal, and the address of the site."""

    paper: PaperName
    stamp: Stamp
    seal: Seal | None
    address: str

    def answer(self, content: bytes, name: str) -> HttpResponse:
        """Return a print, signed, that the browser shows."""
        return pdf_shown(sealed(content, self.seal), name)


def press_for(person: Person, paper: str, address: str) -> Press:
    """Return what a person prints with now; ValueError for a paper that is not known.

    ``address`` is the one that the site was reached by; one in the settings comes before it.
    """
    paper_of(paper)
    seal = seal_of(person.operator)
    stamp = Stamp(timezone.localtime(), str(person), UNSIGNED if seal is None else seal.words)
    return Press(cast(PaperName, paper), stamp, seal, settings.ADDRESS or address)


def pdf_shown(content: bytes, name: str) -> HttpResponse:
    """Return a PDF that the browser shows, and keeps under a name of plain letters."""
    safe = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in name)
    headers = {"Content-Disposition": f'inline; filename="{safe}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
