"""What a correction changes of the text of an entry, in words, so that old and new stand beside each other."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from inspections.drawing.words import quantity, seconds_text
from logbook.maintenance.sections import Section, sections_of
from logbook.printing.wording import day_text, given, hours_given, kind_text, moment_text, read_as_words

Body = Mapping[str, Any]

USED: Final = {"run_time_s": "Run time", "time_in_service_s": "Time in service", "starts": "Starts", "cycles": "Cycles"}
PARTIAL: Final = "partial_cycles"
RELEASED: Final = {"label": "Outcome", "extent": "Extent", "given_to": "List given to", "statement": "Statement"}
NONE: Final = "none"


def changes_of(was: Body, body: Body) -> list[dict[str, str]]:
    """Return what of an entry's text is otherwise in another version of it.

    Parameters
    ----------
    was, body : mapping
        Bodies of the older and the newer version.

    Returns
    -------
    list of dict
        ``what`` it is called, what it ``was`` and what it ``is``, in words and in the order of the text.
    """
    return [{"what": what, "was": old, "is": new} for _, what, old, new in _differing(was, body)]


def gone_from(was: Body, body: Body) -> frozenset[str]:
    """Return what of an older version's text no longer stands.

    Parameters
    ----------
    was, body : mapping
        Bodies of the older and the newer version.

    Returns
    -------
    frozenset of str
        Keys of texts: ``"began"``, ``"counted.starts"``, ``"reading.<chart>"`` and the like.
    """
    return frozenset(key for key, _, _, _ in _differing(was, body))


def _differing(was: Body, body: Body) -> Iterator[tuple[str, str, str, str]]:
    old, new = dict(_texts(was)), dict(_texts(body))
    for key in dict.fromkeys((*old, *new)):
        what = (old.get(key) or new[key])[0]
        before, after = (side[key][1] if key in side else NONE for side in (old, new))
        if before != after:
            yield key, what, before, after


def _texts(body: Body) -> Iterator[tuple[str, tuple[str, str]]]:
    """Yield each text that a correction can change: its key, what it is called, and the text."""
    run = body.get("run")
    if run:
        yield from _run(run)
        yield from _read(body.get("evidence") or ())
    if body.get("sentences"):
        yield "found", ("What was found", " ".join(body["sentences"]))
    yield from ((f"part.{label}", (label, given(text))) for label, text in body.get("part") or ())
    for section in sections_of(body):
        yield from _section(section)
    yield from _pictured(body)
    release = body.get("release")
    if release:
        yield "completed", ("Work completed on", day_text(release.get("completed_on")))
        yield from ((name, (words, given(release.get(name)))) for name, words in RELEASED.items())


def _section(section: Section) -> Iterator[tuple[str, tuple[str, str]]]:
    yield from ((f"{section.title}.{name}", (name, given(text))) for name, text in section.rows)
    for first, *rest in section.lines:
        words = "; ".join(given(cell) for cell in rest)
        yield f"{section.title}.{first}", (f"{section.title}, {first}", words)


def _run(run: Body) -> Iterator[tuple[str, tuple[str, str]]]:
    yield "kind", ("Kind of run", kind_text(run.get("kind")))
    yield "began", ("Began", moment_text(run.get("started_at")))
    for part, words in (("typed", "as written down"), ("counted", "as counted")):
        figures = run.get(part) or {}
        for name, label in USED.items():
            figure = figures.get(name)
            text = hours_given(figure, 2) if name.endswith("_s") else given(figure)
            yield f"{part}.{name}", (f"{label}, {words}", text)
        if figures.get(PARTIAL):
            yield f"{part}.{PARTIAL}", (f"Partial cycles, {words}", given(figures[PARTIAL]))
    meter = (run.get("typed") or {}).get("meter_h")
    yield "meter", ("Hour meter", given(None) if meter is None else quantity(meter, "h"))
    yield from ((f"besides.{label}", (label, given(text))) for label, text in run.get("besides") or ())
    yield "remarks", ("Remarks", given(run.get("remarks")))


def _read(evidence: Iterable[Body]) -> Iterator[tuple[str, tuple[str, str]]]:
    found: dict[str, list[str]] = {}
    for item in evidence:
        if item.get("kind") == "reading":
            found.setdefault(str(item.get("chart")), []).append(_reading(item))
        else:
            yield f"file.{item.get('sha256')}", ("Recorded file", given(item.get("name")))
    yield from ((f"reading.{chart}", (f"Reading, {chart}", "; ".join(texts))) for chart, texts in found.items())


def _pictured(body: Body) -> Iterator[tuple[str, tuple[str, str]]]:
    for photo in body.get("photos") or ():
        yield f"photo.{photo['id']}", (f"Photo of {photo['of']}", photo["caption"] or "without words")


def _reading(item: Body) -> str:
    peak, seconds = item.get("peak"), item.get("seconds")
    value = "reading not known" if peak is None else quantity(peak, item.get("unit") or "")
    value += "" if item.get("converted") is None else f" ({read_as_words(item)})"
    return f"{value}, {'seconds not known' if seconds is None else seconds_text(seconds)}"
