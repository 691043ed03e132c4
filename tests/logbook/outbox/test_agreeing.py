"""When phone and server judge differently, and when they only say the same in another order."""

import pytest

from logbook.outbox.agreeing import TRACE, verdicts_apart

A = {"chart": "ITT", "area": "A", "area_possible": "B"}
READ = A | {"evidence": "reading"}
B = {"chart": "Torque", "area": None, "area_possible": None, "evidence": "reading"}
TRACED = {"chart": "ITT", "area": "C", "area_possible": "C"}


@pytest.mark.parametrize(
    ("phone", "server", "words"),
    [
        ({}, {"excursions": [READ]}, ""),
        ({"revision": 2, "excursions": [A, B]}, {"excursions": [B, TRACED, READ]}, ""),
        ({"revision": 2, "excursions": []}, {}, ""),
        (
            {"revision": 2, "excursions": [B]},
            {"excursions": [READ]},
            "The phone, with limits revision 2: Torque, no area. The server, with limits revision 3: ITT, B. "
            "The server's counts.",
        ),
        (
            {"excursions": [A]},
            {},
            "The phone, with limits revision ?: ITT, B. The server, with limits revision 3: nothing. "
            "The server's counts.",
        ),
    ],
)
def test_where_two_verdicts_differ(phone: dict[str, object], server: dict[str, object], words: str) -> None:
    assert verdicts_apart(phone, server, 3) == words


def test_a_recorders_file_is_compared_with_what_the_trace_shows_alone() -> None:
    server = {"excursions": [READ, TRACED]}
    assert verdicts_apart({"revision": 2, "excursions": [TRACED]}, server, 2, TRACE) == ""
    assert "ITT, B. The server, with limits revision 2: ITT, C." in verdicts_apart(
        {"revision": 2, "excursions": [A]}, server, 2, TRACE
    )
