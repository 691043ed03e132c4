"""The signature block: what is signed in words, kept on one page with at least three lines of it."""

from collections.abc import Mapping, Sequence
from typing import Any

from reportlab.platypus import Flowable, KeepTogether, Paragraph

from logbook.printing.blocks import LEAST_LINES, Story, pairs, paragraph, split_after, titled
from logbook.printing.findings import inspection_words
from logbook.printing.paper import TEXT_HEIGHT, TEXT_WIDTH
from logbook.printing.styles import SECTION, TEXT
from logbook.printing.wording import given, moment_text

Body = Mapping[str, Any]

HOW = "Electronically, under an account of the signer's own"
APART = "An inspection that the run called for is released in an entry of its own."
NO_SECOND = "not applicable: not a required inspection item"


def signature_section(body: Body, number: int) -> Story:
    """Return what is signed and the signature, kept together.

    Parameters
    ----------
    body : mapping
        Body of an entry.
    number : int
        The entry's number.

    Returns
    -------
    list of Flowable
        Heading, the text that is signed, and the block with name, certificate and dates.
    """
    signed: Body = body.get("signed") or {}
    release: Body = body.get("release") or {}
    text = _release_text(body, number, release) if release else _run_text(body, number)
    rows = _release_rows(body, release, signed) if release else _run_rows(signed)
    return kept("Signature", [paragraph(line) for line in text], pairs(rows))


def _covers(body: Body, number: int, what: str) -> str:
    serial = (body.get("engine") or {}).get("serial")
    on = "" if body.get("part") and not serial else f", engine {given(serial)}"
    return f"This signature covers what entry {number} describes and nothing else: {what}{on}."


def _run_text(body: Body, number: int) -> list[str]:
    meaning = (body.get("signed") or {}).get("meaning")
    apart = [APART] if body.get("run") else []
    return [_covers(body, number, given(body.get("title"))), f"Statement: {given(meaning)}", *apart]


def _release_text(body: Body, number: int, release: Body) -> list[str]:
    return [
        _covers(body, number, inspection_words(body) if body.get("inspection") else given(body.get("title"))),
        f"Extent: {given(release.get('extent'))}",
        f"Statement: {given(release.get('statement'))}",
    ]


def _run_rows(signed: Body) -> list[tuple[str, Any]]:
    return [
        *_signer_rows(signed),
        ("Certificate kind", signed.get("certificate_kind")),
        ("Certificate number", signed.get("certificate_number")),
        *_moment_rows(signed),
    ]


def _signer_rows(signed: Body) -> list[tuple[str, Any]]:
    return [
        ("Signed by", signed.get("name")),
        ("User code", signed.get("user_code")),
        ("Role", signed.get("role")),
    ]


def _moment_rows(signed: Body) -> list[tuple[str, Any]]:
    device = signed.get("device_at")
    return [
        ("Certificate ratings", signed.get("certificate_ratings") or None),
        ("Date and time signed", moment_text(signed.get("at"))),
        *([("By the signer's device", moment_text(device))] if device else []),
        ("How it was signed", f"{HOW}; {given(signed.get('factor'))}"),
    ]


def _release_rows(body: Body, release: Body, signed: Body) -> list[tuple[str, Any]]:
    about = body.get("inspection") or release
    needs_second = about.get("required_inspection_item")
    second = release.get("second_name") or (NO_SECOND if needs_second is False else None)
    handed = [("List of discrepancies given to", release.get("given_to"))] if release.get("given_to") else []
    return [
        ("Outcome", release.get("label")),
        *([("Released under", release["rules"])] if release.get("rules") else []),
        ("Date work was completed", release.get("completed_on")),
        *handed,
        ("Second person", second),
        *_signer_rows(signed),
        ("Certificate kind", release.get("certificate_kind")),
        ("Certificate number", release.get("certificate_number")),
        *_moment_rows(signed),
    ]


def kept(title: str, text: Sequence[Paragraph], block: Flowable) -> Story:
    """Return a text and the block that signs it, with the block never apart from the text's last three lines.

    Parameters
    ----------
    title : str
        Heading of both.
    text : sequence of Paragraph
        What is signed.
    block : Flowable
        The signature.

    Returns
    -------
    list of Flowable
        What may stand on an earlier page, then what stays together.
    """
    before: Story = []
    together: Story = [block]
    lines = 0
    for flowable in reversed(text):
        count = _lines_of(flowable)
        head, tail = _parted(flowable, count) if lines < LEAST_LINES else (flowable, None)
        before = before if head is None else [head, *before]
        together = together if tail is None else [tail, *together]
        lines += count
    if before:
        return [*titled(title, before), KeepTogether(together)]
    return [KeepTogether([paragraph(title, SECTION), *together])]


def _lines_of(text: Paragraph) -> int:
    height: float = text.wrap(TEXT_WIDTH, TEXT_HEIGHT)[1]
    return round(height / float(TEXT.leading))


def _parted(text: Paragraph, count: int) -> tuple[Paragraph | None, Paragraph | None]:
    """Return a long paragraph as two, the second its last three lines; a short one whole."""
    if count < 2 * LEAST_LINES:
        return None, text
    head, tail = split_after(text, TEXT_WIDTH, (count - LEAST_LINES) * TEXT.leading)
    return (None, head) if tail is None else (head, tail)
