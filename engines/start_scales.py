"""Starts and checks before them in the unit of temperature that a person chose; what is kept never changes."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from engines.scales import TEMPERATURES, Scale
from engines.start_checks import Check, CheckList
from engines.start_curves import Course
from engines.start_rules import Corners, StartRules
from engines.start_words import SHUTDOWNS, STARTS
from engines.units import convert, convert_difference, symbol_of, unit_known

DIFFERENCES = frozenset({"temperature slope"})


def figures_on(figures: Mapping[str, Any], scale: Scale | None) -> dict[str, Any]:
    """Return the figures of a start or a shutdown with temperatures on another scale.

    Parameters
    ----------
    figures : mapping of str to object
        The figures, by their names.
    scale : Scale or None
        Of the type's temperature; None leaves them as they are.

    Returns
    -------
    dict of str to object
        A slope converts as a difference: 20 °C/s are 36 °F/s.
    """
    if scale is None:
        return dict(figures)
    return {key: _figure_on(key, value, scale) for key, value in figures.items()}


def _figure_on(key: str, value: Any, scale: Scale) -> Any:
    kind = (STARTS.get(key) or SHUTDOWNS.get(key) or ("", ""))[1]
    return value if value is None else value_on(value, kind, scale)


def value_on(value: float, kind: str, scale: Scale | None) -> float:
    """Return one figure of a kind, as the tables of figures name it, on another scale of the temperature.

    Parameters
    ----------
    value : float
        The figure. [scale's unit, where it is of temperature]
    kind : str
        What it measures.
    scale : Scale or None
        Of the type's temperature.

    Returns
    -------
    float
        The figure itself where it is of something else. [scale's shown unit]
    """
    if scale is None or kind not in ("temperature", *DIFFERENCES):
        return value
    return scale.difference(value, 0.0) if kind in DIFFERENCES else float(scale.value(value))


def resolution_on(resolution: float, kind: str, scale: Scale | None) -> float:
    """Return the least step of a kind of figure on another scale of the temperature, as a difference.

    Parameters
    ----------
    resolution : float
        The step. [scale's unit, where it is of temperature]
    kind : str
        What is measured.
    scale : Scale or None
        Of the type's temperature.

    Returns
    -------
    float
        The step. [scale's shown unit]
    """
    return scale.difference(resolution, 0.0) if scale is not None and kind == "temperature" else resolution


def course_on(course: Course, scale: Scale | None) -> Course:
    """Return the course of a temperature on another scale.

    Parameters
    ----------
    course : Course
        A value at each moment, None where there is none. [scale's unit]
    scale : Scale or None
        The scale.

    Returns
    -------
    Course
        The same moments. [scale's shown unit]
    """
    return course if scale is None else tuple(None if at is None else float(scale.value(at)) for at in course)


def rules_on(rules: StartRules, scale: Scale | None) -> StartRules:
    """Return what a type asks of its starts with temperatures on another scale.

    Parameters
    ----------
    rules : StartRules
        The rules.
    scale : Scale or None
        Of the type's temperature.

    Returns
    -------
    StartRules
        For showing alone: starts are read by the rules as they stand in the document.
    """
    if scale is None:
        return rules
    corners: Corners = tuple((at, float(scale.value(value))) for at, value in rules.envelope.temperature)
    return replace(
        rules,
        hot_above=None if rules.hot_above is None else float(scale.value(rules.hot_above)),
        residual_most=None if rules.residual_most is None else float(scale.value(rules.residual_most)),
        envelope=replace(rules.envelope, temperature=corners),
    )


def checks_on(listed: CheckList, unit: str) -> CheckList:
    """Return checks before a start with every temperature asked for in another unit.

    Parameters
    ----------
    listed : CheckList
        The checks as the type states them.
    unit : str
        ``"degC"`` or ``"degF"``; "" leaves them as they are.

    Returns
    -------
    CheckList
        Bounds are readings; how far a reading may be from another is a difference: 20 °C are 36 °F.
    """
    if not unit:
        return listed
    return replace(listed, checks=tuple(_check_on(check, unit) for check in listed.checks))


def _check_on(check: Check, unit: str) -> Check:
    if unit_known(check.unit) not in TEMPERATURES:
        return check
    least, most = (None if at is None else float(convert(at, check.unit, unit)) for at in (check.least, check.most))
    within = None if check.within is None else convert_difference(check.within, check.unit, unit)
    return replace(check, unit=unit, least=least, most=most, within=within)


def also_said(value: Any, unit: str, to: str) -> str:
    """Return an answer to a check in another unit of temperature, beside the one it was given in.

    Parameters
    ----------
    value : float or object
        The answer; what is no reading has no other unit. [unit]
    unit, to : str
        The unit that it was given in, and the one to show; "" for none.

    Returns
    -------
    str
        For example ``"77 °F"``; "" where there is nothing else to say.
    """
    if not to or unit_known(unit) not in TEMPERATURES or unit == to or not isinstance(value, int | float):
        return ""
    return f"{round(float(convert(value, unit, to)), 1):g} {symbol_of(to)}"
