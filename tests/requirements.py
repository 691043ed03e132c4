"""What rules and standards ask of entries and their prints, by the names under which they are written down.

Each bears the name of a clause: R-43.9-a-1 is 14 CFR 43.9(a)(1), R-801-b is Part-M M.A.801(b), R-ES-1 the first element
of an acceptable electronic signature (FAA AC 120-78B), Paper R1 the first of what is asked of a printed page.
"""

from typing import Final

ASKED: Final[dict[str, str]] = {
    "maintenance entry": """
        R-43.9-a-1 R-43.9-a-2 R-43.9-a-3 R-43.9-a-4 R-43.9-a-5 R-43.9-b R-43.9-c R-43.9-d R-43.2-a R-43.2-b R-91.421
        R-43.13-a R-43.16
    """,
    "inspection entry": """
        R-43.11-a-1 R-43.11-a-2 R-43.11-a-3 R-43.11-a-4 R-43.11-a-5 R-43.11-a-6 R-43.11-a-7 R-43.11-b-1 R-43.11-b-2
        R-91.405-c R-43.15-c
    """,
    "approval for return to service": """
        R-43.5 R-43.7 R-43.3-d R-65.81 R-65.83 R-65.87 R-65.95 R-91.407-a R-91.407-b R-135.443 R-135.429-c R-135.427-b
        R-135.429-e R-571.10-2p
    """,
    "record sets": """
        R-91.417-b-1 R-91.417-b-2 R-91.417-b-3 R-91.417-c R-91.419 R-135.439-b-2 R-91.409-e R-43-9C-12
    """,
    "falsification and alteration": "R-43.12 R-3.403 R-back",
    "electronic signatures and records": """
        R-ES-1 R-ES-2 R-ES-3 R-ES-4 R-ES-5 R-ES-6 R-ES-7 R-ES-8 R-ES-9 R-ES-10 R-ES-11 R-ES-12 R-ES-13 R-ES-14 R-ES-15
        R-ER-1 R-ER-2 R-ER-3 R-ER-4 R-ER-5 R-AMC305e R-AMC305f R-AMC614-5 R-AMCML305e R-AMC801-5 R-605.93 R-TP14308
        R-P11-50 R-P11-10e R-NIST-AAL R-NIST-pw
    """,
    "correcting an entry": "R-COR-1 R-COR-2 R-COR-3 R-COR-4 R-COR-5 R-COR-6 R-COR-7",
    "release to service, EASA and others": """
        R-801-b R-801-c R-801-d R-CRS-1 R-CRS-2 R-CRS-3 R-CRS-4 R-CRS-5 R-CRS-6 R-CRS-7 R-145.50-a R-145.50-c R-145.50-e
        R-305-a R-305-b1 R-logcard R-145.55 R-305-e R-Form1 R-42.760 R-571.10-2 R-UKLB
    """,
}
PRINTED: Final = tuple(f"Paper R{number}" for number in range(1, 9))
IDS: Final = (*(name for names in ASKED.values() for name in names.split()), *PRINTED)
# Asked of people and places, with why no test of a program can hold it; nothing of the above is.
NOT_OF_SOFTWARE: Final[dict[str, str]] = {}
