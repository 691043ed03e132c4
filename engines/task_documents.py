"""A task as a document, read and checked: in an engine type's document, or of one engine or part."""

from datetime import date
from typing import Any, Final

from engines.document_fields import Fields
from engines.errors import DocumentError
from engines.tasks import AMOUNTS, BEGUN, DIRECTIVE, KINDS, LIMITATION, NEW, PRESERVATION, Interval, TaskData

CALENDAR: Final = ("days", "months", "calendar_months")
INTERVAL: Final = (*AMOUNTS, *CALENDAR)
MOST_MONTHS: Final = 600
MOST_DAYS: Final = 18_000
MOST_AMOUNT: Final = 1_000_000.0
NUMBERED: Final = ("number", "revision", "revision_date")


def task_document_read(document: Any) -> TaskData:
    """Return the task that a document of its own describes.

    Parameters
    ----------
    document : object
        Plain data as read from JSON.

    Returns
    -------
    TaskData
        The task.

    Raises
    ------
    DocumentError
        If anything is malformed; ``fields`` maps the path of each fault to what is wrong.
    """
    root = Fields.of(document)
    task = task_read(root)
    if root.faults:
        raise DocumentError(root.summary(), fields=dict(root.faults))
    return task


def tasks_read(root: Fields) -> tuple[TaskData, ...]:
    """Return the tasks of an engine type.

    Parameters
    ----------
    root : Fields
        The type's document.

    Returns
    -------
    tuple of TaskData
        The tasks, faults noted in ``root``; none where the document has none.
    """
    if not root.has("tasks"):
        return ()
    found = tuple(task_read(item) for item in root.items("tasks"))
    root.unique("tasks", "name")
    names = {task.name for task in found}
    for k, task in enumerate(found):
        if unknown := [name for name in task.done_with if name not in names]:
            root.fault(f"tasks[{k}].done_with", f"“{unknown[0]}” is not a task of this type")
    return found


def task_read(item: Fields) -> TaskData:
    """Return the task in a part of a document; its faults are kept with the document's.

    Parameters
    ----------
    item : Fields
        The part.

    Returns
    -------
    TaskData
        The task, as far as it can be read.
    """
    item.allow(
        "name", "kind", "mandatory", "initial", "repeat", "extension", "counts_from", "done_with", "reference",
        "source", *NUMBERED,
    )  # fmt: skip
    kind = item.choice("kind", tuple(KINDS)) if item.has("kind") else _kind_missing(item)
    task = TaskData(
        name=item.text("name", most=120),
        kind=kind,
        mandatory=item.flag("mandatory"),
        initial=_interval(item, "initial"),
        repeat=_interval(item, "repeat"),
        extension=_interval(item, "extension"),
        counts_from=item.choice("counts_from", (NEW, BEGUN)),
        done_with=item.texts("done_with", most=120) if item.has("done_with") else (),
        number=item.text("number", default="", most=60),
        revision=item.text("revision", default="", most=30),
        revision_date=_day(item, "revision_date"),
        reference=item.text("reference", default=""),
        source=item.text("source", default=""),
    )
    _check(item, task)
    return task


def _kind_missing(item: Fields) -> str:
    item.fault("kind", f"is missing; must be one of {', '.join(KINDS)}")
    return "other"


def _interval(item: Fields, key: str) -> Interval | None:
    if not item.has(key):
        return None
    child = item.child(key)
    child.allow(*INTERVAL)
    given = {name: _amount(child, name) for name in INTERVAL if child.has(name)}
    if not given:
        item.fault(key, f"must name at least one of {', '.join(INTERVAL)}")
    amounts = tuple((AMOUNTS[name][0], round(given[name] * AMOUNTS[name][1])) for name in AMOUNTS if name in given)
    calendar = {name: int(given[name]) for name in CALENDAR if name in given}
    return Interval(amounts=amounts, **calendar)


def _amount(child: Fields, name: str) -> float:
    """Return an amount that is above 0, or a length of time that may be 0: at once."""
    if name in CALENDAR:
        number: float = child.whole(name, least=0)
        most: float = MOST_DAYS if name == "days" else MOST_MONTHS
    else:
        number = child.number(name, least=0.0) if name.endswith("_h") else child.whole(name, least=1)
        most = MOST_AMOUNT
        if number == 0:
            child.fault(name, "must be above 0")
    if number > most:
        child.fault(name, f"must not be above {most:g}")
    return number


def _day(item: Fields, key: str) -> date | None:
    if not item.has(key):
        return None
    try:
        return date.fromisoformat(item.text(key, most=10))
    except ValueError:
        item.fault(key, "must be a day, for example 2026-05-04")
        return None


def _check(item: Fields, task: TaskData) -> None:
    """Fault what each part allows by itself but not together."""
    if task.initial is None and task.repeat is None:
        item.fault("initial", "is missing, and repeat too; a task that is never due is none")
    if task.extension is not None and not task.source:
        item.fault("source", "is missing; an extension is granted by a document")
    if task.kind == DIRECTIVE:
        _check_directive(item, task)
    if task.kind == PRESERVATION:
        _check_idle(item, task)
    if task.kind == LIMITATION:
        _check_limitation(item, task)


def _check_directive(item: Fields, task: TaskData) -> None:
    if not task.mandatory:
        item.fault("mandatory", "must be true for an airworthiness directive")
    if not task.number:
        item.fault("number", "is missing; an airworthiness directive has one")


def _check_limitation(item: Fields, task: TaskData) -> None:
    """Fault what would let a task of the airworthiness limitations section be done otherwise (14 CFR 43.16)."""
    if not task.mandatory:
        item.fault("mandatory", "must be true for an airworthiness limitation")
    for key in ("source", "revision"):
        if not getattr(task, key):
            item.fault(key, "is missing; an airworthiness limitation is done as a revision of its section says")
    if task.extension is not None:
        item.fault("extension", "can't be: an airworthiness limitation is not extended")


def _check_idle(item: Fields, task: TaskData) -> None:
    for key, interval in (("initial", task.initial), ("repeat", task.repeat)):
        if interval is not None and interval.amounts:
            item.fault(key, "goes by the calendar alone: an engine that stands idle uses nothing")
