"""Photos on paper: two abreast as figures, each with its words and the beginning of its hash."""

from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.utils import ImageReader
from reportlab.platypus import Image

from logbook.printing.blocks import Story, paragraph, side_by_side, titled
from logbook.printing.paper import TEXT_WIDTH
from logbook.printing.wording import DIGEST_DIGITS, given, moment_text

Body = Mapping[str, Any]

SHARE = 0.5  # of the text's width that a figure may take
GAP = 12.0  # between two figures [pt]
TALLEST = 230.0  # [pt]
NOT_AT_HAND = "No picture: the photo is not at hand, or is not the one that was signed."


def photos_section(body: Body, pictures: Mapping[str, bytes]) -> Story:
    """Return the photos that an entry tells, under their heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.
    pictures : mapping of str to bytes
        JPEG files by the SHA-256 of the photo as it is kept; made smaller for paper.

    Returns
    -------
    list of Flowable
        Heading and figures, two on a row; nothing for an entry without photos.
    """
    told: Sequence[Body] = body.get("photos") or []
    figures = [_figure(n, one, pictures.get(one["sha256"])) for n, one in enumerate(told, 1)]
    if not figures:
        return []
    pairs = [figures[first : first + 2] for first in range(0, len(figures), 2)]
    return titled("Photos", [side_by_side(pair[0], pair[1] if len(pair) > 1 else [], SHARE) for pair in pairs])


def _figure(number: int, told: Body, picture: bytes | None) -> Story:
    """Return one photo with its words under it."""
    kept = f"; kept on the phone {moment_text(told['kept_at'])}" if told.get("kept_at") else ""
    words = [
        f"Figure {number}: {given(told.get('caption'))}. Of {given(told.get('of'))}.",
        f"Added by {given(told.get('by'))}, {moment_text(told.get('at'))}{kept}.",
        f"SHA-256, first {DIGEST_DIGITS} digits: {given(told.get('sha256'))[:DIGEST_DIGITS]}",
    ]
    drawn = paragraph(NOT_AT_HAND) if picture is None else _picture(picture)
    return [drawn, *map(paragraph, words)]


def _picture(data: bytes) -> Image:
    """Return a picture as wide as its column, or as high as a figure may be."""
    width, height = ImageReader(BytesIO(data)).getSize()
    factor = min((SHARE * TEXT_WIDTH - GAP) / width, TALLEST / height)
    return Image(BytesIO(data), width=width * factor, height=height * factor, hAlign="LEFT")
