"""Checks before a start as a type states them, and what of the answers of an observer is out of place."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from engines.document_fields import Fields
from engines.units import symbol_of, unit_known

MOST_CHECKS: Final = 60
KNOWN: Final = ("name", "unit", "least", "most", "near", "within")
SO: Final = "so"  # as it should be
NOT_SO: Final = "not_so"
Answer = float | str | None  # a reading, whether it is so, or None where it was not checked


@dataclass(frozen=True)
class Check:
    """One check: a reading in a unit, with what it has to be, or something that is so or not.

    ``near`` names an earlier check from whose reading this one may differ by ``within``. [unit]
    """

    name: str
    unit: str = ""
    least: float | None = None
    most: float | None = None
    near: str = ""
    within: float | None = None

    @property
    def asked(self) -> str:
        """Return what the type asks for, in words; "" where it asks for nothing."""
        sign = symbol_of(self.unit)
        said = [
            f"at least {self.least:g} {sign}" if self.least is not None else "",
            f"no more than {self.most:g} {sign}" if self.most is not None else "",
            f"within {self.within:g} {sign} of “{self.near}”" if self.within is not None else "",
        ]
        return ", ".join(part for part in said if part)


@dataclass(frozen=True)
class CheckList:
    """The checks of a type before a start, in order, and where they come from."""

    checks: tuple[Check, ...]
    source: str = ""


def checks_read(root: Fields) -> CheckList | None:
    """Return a type's checks before a start.

    Parameters
    ----------
    root : Fields
        The document.

    Returns
    -------
    CheckList or None
        The checks, faults noted in ``root``; None where the document has none.
    """
    if not root.has("checks"):
        return None
    item = root.child("checks")
    item.allow("before_start", "source")
    items = item.items("before_start", least=1)
    if len(items) > MOST_CHECKS:
        item.fault("before_start", f"must not have more than {MOST_CHECKS} checks")
    item.unique("before_start", "name")
    found: list[Check] = []
    for one in items:
        found.append(_check(one, {check.name: check.unit for check in found}))
    return CheckList(tuple(found), source=item.text("source", default=""))


def _check(item: Fields, before: dict[str, str]) -> Check:
    item.allow(*KNOWN)
    unit = item.text("unit", default="", most=40)
    near = item.text("near", default="")
    _faults(item, unit, near, before)
    return Check(
        name=item.text("name", most=120),
        unit=unit_known(unit) or unit,
        least=_bound(item, "least"),
        most=_bound(item, "most"),
        near=near,
        within=_bound(item, "within", least=0.0),
    )


def _bound(item: Fields, key: str, least: float | None = None) -> float | None:
    return item.number(key, least=least) if item.has(key) else None


def _faults(item: Fields, unit: str, near: str, before: dict[str, str]) -> None:
    """Fault a unit that is not known, and bounds that nothing can be held against."""
    if unit and unit_known(unit) is None:
        item.fault("unit", f"“{unit}” is not a unit that is known here; write for example degC, psi or V")
    bounds = [name for name in KNOWN[2:] if item.has(name)]
    if bounds and not unit:
        item.fault(bounds[0], "is held against a reading, so give the check a unit")
    if item.has("near") != item.has("within"):
        item.fault("within", "near and within go together")
    if near and before.get(near) != (unit_known(unit) or unit):
        item.fault("near", f"“{near}” must be the name of a check in the same unit that stands before this one")


def answer_text(check: Check, answer: Answer) -> str:
    """Return an answer in words.

    Parameters
    ----------
    check : Check
        What was asked.
    answer : float or str or None
        The answer. [check's unit]

    Returns
    -------
    str
        For example ``"24.6 V"``, ``"as it should be"`` or ``"not checked"``.
    """
    if answer is None:
        return "not checked"
    if isinstance(answer, str):
        return "as it should be" if answer == SO else "not as it should be"
    return f"{answer:g} {symbol_of(check.unit)}"


def out_of_place(checks: Sequence[Check], answers: Sequence[Answer]) -> dict[int, str]:
    """Return what of some answers is out of place.

    Parameters
    ----------
    checks : sequence of Check
        The checks.
    answers : sequence of float, str or None
        An answer to each. [each check's unit]

    Returns
    -------
    dict of int to str
        Place of the check, from 0, to a sentence with what was answered and what the type asks for. A check that was
        not answered is out of place too: what is not known is not good.
    """
    read = {check.name: answer for check, answer in zip(checks, answers, strict=True)}
    pairs = enumerate(zip(checks, answers, strict=True))
    return {k: words for k, (check, answer) in pairs if (words := _wrong(check, answer, read.get(check.near)))}


def _wrong(check: Check, answer: Answer, near: Answer) -> str:
    """Return what is out of place about an answer; "" where nothing is."""
    if answer is None or answer == NOT_SO:
        return f"{check.name}: {answer_text(check, answer)}."
    if isinstance(answer, str) or _is_in_place(check, answer, near):
        return ""
    return f"{check.name}: {answer_text(check, answer)}; the type asks for {check.asked}."


def _is_in_place(check: Check, reading: float, near: Answer) -> bool:
    if check.within is not None and (not isinstance(near, float | int) or abs(reading - near) > check.within):
        return False
    return (check.least is None or reading >= check.least) and (check.most is None or reading <= check.most)
