"""The same cases put to the phone, the server and the twin, in pairs that should be equal."""

from collections.abc import Sequence
from enum import StrEnum
from typing import Any

from playwright.sync_api import Page

from tests import twin
from tests.judging.cases import JUDGE, JUDGE_READINGS, Judged, in_fahrenheit, server_says, server_says_of_readings
from tests.judging.page import told
from tests.twin.comparing import differences

Pairs = list[tuple[Any, Any]]


class Told(StrEnum):
    """What is compared with what."""

    SERVER = "traces, phone and server"
    TWIN = "traces, phone and exact twin"
    UNITS = "traces by charts in another unit, phone and server"
    READINGS = "typed readings, phone and server"


def verdicts_told(page: Page, cases: Sequence[Judged]) -> dict[Told, Pairs]:
    """Return what the phone says of each case, with what it should say."""
    own = [case.plain() for case in cases]
    turned = [case.plain(in_fahrenheit(case.case.document)) for case in cases]
    verdicts = told(page, JUDGE, own)
    exact = [twin.judge(one.case.document, one.case.times, one.case.columns) for one in cases]
    return {
        Told.SERVER: list(zip(verdicts, map(server_says, own), strict=True)),
        Told.TWIN: list(zip(map(counted, verdicts), map(counted, exact), strict=True)),
        Told.UNITS: list(zip(told(page, JUDGE, turned), map(server_says, turned), strict=True)),
        Told.READINGS: list(zip(told(page, JUDGE_READINGS, turned), map(server_says_of_readings, turned), strict=True)),
    }


def counted(verdict: dict[str, Any]) -> dict[str, Any]:
    """Return a verdict with its notes counted, since the twin tells them in its own words."""
    return verdict | {"notes": len(verdict["notes"])}


def differing(pairs: Pairs) -> dict[int, list[str]]:
    """Return by case where the two differ."""
    return {k: found for k, (ours, other) in enumerate(pairs) if (found := differences(ours, other))}
