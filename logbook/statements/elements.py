"""The elements that a statement has to hold, by rule-set and outcome, as data; each names the clause that asks."""

from dataclasses import dataclass
from typing import Final

US, US_PROGRAMME, EASA = "us", "us_programme", "easa"
CANADA, AUSTRALIA, OTHER = "canada", "australia", "other"
RULESETS: Final = {
    US: "United States, general (14 CFR 43.9, 43.11)",
    US_PROGRAMME: "United States, maintenance programme (14 CFR 135.443)",
    EASA: "European Union or United Kingdom (certificate of release to service)",
    CANADA: "Canada (CAR 571.10, maintenance release)",
    AUSTRALIA: "Australia (CASR 42.760, certificate of release to service)",
    OTHER: "Other rules, in the words of the operator's authority",
}

WORK, CONDITIONAL, PILOT_OWNER, PROVISIONAL = "work", "conditional", "pilot_owner", "provisional"
INSPECTED, REFUSED = "inspection_approved", "inspection_not_approved"
PROGRESSIVE, PROGRESSIVE_REFUSED = "progressive_approved", "progressive_not_approved"
PROGRAMME, PROGRAMME_REFUSED = "programme_approved", "programme_not_approved"
OUTCOMES: Final = {
    WORK: "Maintenance, approved for return to service",
    CONDITIONAL: "Maintenance, released on a condition that is still to be met",
    PILOT_OWNER: "Maintenance by the pilot-owner",
    PROVISIONAL: "Maintenance released by an authorised person away from base",
    INSPECTED: "Inspection, approved",
    REFUSED: "Inspection, not approved",
    PROGRESSIVE: "Progressive inspection, approved",
    PROGRESSIVE_REFUSED: "Progressive inspection, not approved",
    PROGRAMME: "Inspection under a programme, approved",
    PROGRAMME_REFUSED: "Inspection under a programme, not approved",
}
REFUSALS: Final = frozenset({REFUSED, PROGRESSIVE_REFUSED, PROGRAMME_REFUSED})

# What may stand between braces in a template, and what is put in its place.
PLACES: Final = {
    "signer": "name of the signer",
    "certificate_kind": "kind of the signer's certificate",
    "certificate_number": "number of the signer's certificate",
    "organisation": "name of the organisation",
    "approval": "approval reference of the organisation",
    "registration": "aircraft that the engine is fitted to, by its registration",
    "item": "engine type and serial",
    "hours": "total time in service",
    "cycles": "cycles since new",
    "work": "description of the work, or the work pack",
    "data": "document, revision and section worked to",
    "date": "day of completion",
    "inspection": "type of inspection",
    "extent": "extent of the inspection",
    "programme": "inspection programme and its revision",
    "part": "part of the programme that was done",
    "routine": "items inspected as a routine",
    "detailed": "items inspected in detail",
    "list": "number of the discrepancy list",
    "list_date": "date of the discrepancy list",
    "recipient": "who was given the discrepancy list",
    "limitations": "limitations, or none",
    "incomplete": "work left incomplete, or none",
    "pending": "what is still to be done, and by when",
}


@dataclass(frozen=True)
class Element:
    """One thing that a statement has to say: any of some placeholders, any of some phrases, or one of each.

    ``clause`` is where it is asked for.
    """

    key: str
    words: str
    clause: str
    places: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()


def _place(name: str, clause: str) -> Element:
    return Element(name, PLACES[name], clause, places=(name,))


CERTIFIES: Final = ("certify", "certifies", "certified")
INSPECTION_WORD: Final = ("inspect",)
DISCREPANCIES: Final = ("discrepanc", "defect")

_US_WORK = (
    Element("described", "what was done, or the data that describe it", "14 CFR 43.9(a)(1)", places=("work", "data")),
    _place("date", "14 CFR 43.9(a)(2)"),
    _place("signer", "14 CFR 43.9(a)(4)"),
    _place("certificate_kind", "14 CFR 43.9(a)(4)"),
    _place("certificate_number", "14 CFR 43.9(a)(4)"),
    Element("only", "that it speaks for the work described only", "14 CFR 43.9(a)", phrases=("work described",)),
    Element("approved", "that it is approved", "14 CFR 43.9(a)(4)", phrases=("approved for return to service",)),
)


def _inspected(clause: str) -> tuple[Element, ...]:
    return (
        Element("certifies", "that the signer certifies", f"{clause}(i)", phrases=CERTIFIES),
        Element("item", "that this item was inspected", f"{clause}(ii)", places=("item",), phrases=INSPECTION_WORD),
        Element("inspection", "the type of inspection", f"{clause}(iii)", places=("inspection",)),
    )


_AIRWORTHY = Element("airworthy", "that it was found airworthy", "14 CFR 43.11(a)(4)(iv)", phrases=("airworthy",))
_LISTED = (
    Element("listed", "that a list of discrepancies exists", "14 CFR 43.11(a)(5)", phrases=DISCREPANCIES),
    _place("list_date", "14 CFR 43.11(a)(5)"),
    _place("recipient", "14 CFR 43.11(a)(5)"),
)
_PROGRESSIVE = (
    Element("certifies", "that the signer certifies", "14 CFR 43.11(a)(6)", phrases=CERTIFIES),
    Element("item", "that this item was inspected", "14 CFR 43.11(a)(6)", places=("item",), phrases=("progressive",)),
    _place("routine", "14 CFR 43.11(a)(6)"),
    _place("detailed", "14 CFR 43.11(a)(6)"),
)
_PROGRAMME = (
    Element("certifies", "that the signer certifies", "14 CFR 43.11(a)(7)", phrases=CERTIFIES),
    Element("item", "that this item was inspected", "14 CFR 43.11(a)(7)", places=("item",), phrases=INSPECTION_WORD),
    _place("programme", "14 CFR 43.11(a)(7)"),
    _place("part", "14 CFR 43.11(a)(7)"),
    Element("procedures", "that its procedures were followed", "14 CFR 43.11(a)(7)", phrases=("procedures",)),
)
_RELEASE_135 = (
    Element("described", "what was done, or the data that describe it", "14 CFR 135.439", places=("work", "data")),
    _place("date", "14 CFR 135.443"),
    _place("signer", "14 CFR 135.443(b)(3)"),
    Element("manual", "that the work met the operator's manual", "14 CFR 135.443(b)(2)(i)", phrases=("manual",)),
    Element(
        "required_items",
        "that required inspection items were inspected by an authorised person",
        "14 CFR 135.443(b)(2)(ii)",
        phrases=("authorised person", "authorized person"),
    ),
    Element(
        "no_condition",
        "that no known condition makes it unairworthy",
        "14 CFR 135.443(b)(2)(iii)",
        phrases=("no known condition", "no condition is known"),
    ),
    Element(
        "controlled",
        "that the work was controlled and leaves it safe to operate",
        "14 CFR 135.443(b)(2)(iv)",
        phrases=("safe operation", "work was controlled"),
    ),
)
_CRS_CORE = (
    Element("certifies", "that the signer certifies", "AMC M.A.801(f)", phrases=CERTIFIES),
    Element("work", "the work specified", "AMC M.A.801(f) 1", places=("work",), phrases=("work specified",)),
    Element("except", "except as otherwise specified", "145.A.50(b)", phrases=("except as otherwise specified",)),
    Element(
        "under",
        "the part that it was done under",
        "AMC M.A.801(f)",
        phrases=("part-m", "part-145", "part-ml", "part-cao", "part m", "part 145", "part ml", "part cao"),
    ),
    Element("ready", "ready for release to service", "AMC M.A.801(f)", phrases=("ready for release to service",)),
    _place("date", "AMC M.A.801(f) 2"),
    _place("hours", "AMC M.A.801(f) 2"),
    _place("signer", "AMC M.A.801(f) 3"),
    _place("certificate_number", "AMC M.A.801(f) 3"),
    _place("limitations", "AMC M.A.801(f) 4"),
    _place("data", "AMC M.A.801(f)"),
    _place("incomplete", "145.A.50(e)"),
)
_ORGANISATION = (_place("organisation", "AMC M.A.801(f) 3"), _place("approval", "AMC M.A.801(f) 3"))
_PILOT_OWNER = Element(
    "pilot_owner",
    "that it is limited pilot-owner maintenance",
    "ML.A.801",
    phrases=("limited pilot-owner maintenance",),
)
_RECHECK = (
    Element("recheck", "that it is checked again", "M.A.801(c)", phrases=("checked again",), places=("pending",)),
    Element("authorised", "that the owner authorised the signer", "M.A.801(c)", phrases=("authorised by the owner",)),
)
_CANADA = (
    Element("work", "the described maintenance", "CAR 571.10(2)", places=("work",), phrases=("described maintenance",)),
    Element(
        "requirements",
        "that the applicable airworthiness requirements were met",
        "CAR 571.10(2)",
        phrases=("applicable airworthiness requirements",),
    ),
    _place("date", "CAR 605.93"),
    _place("signer", "CAR 605.93"),
    _place("certificate_number", "CAR 571.10"),
)
_CONDITION = Element(
    "condition", "the condition still to be met", "CAR 571.10(4)", places=("pending",), phrases=("subject to",)
)
_AUSTRALIA = (
    Element(
        "named",
        "that it is a certificate of release to service",
        "CASR 42.760",
        phrases=("certificate of release to service",),
    ),
    _place("registration", "CASR 42.760"),
    _place("approval", "CASR 42.760"),
    _place("signer", "CASR 42.760"),
    _place("certificate_number", "CASR 42.760"),
    Element("certifies", "that the signer certifies", "CASR 42.760", phrases=CERTIFIES),
    Element("described", "what was done, or the data that describe it", "CASR 42.760", places=("work", "data")),
    _place("date", "CASR 42.760"),
)
_OTHER = (
    Element("certifies", "that the signer certifies", "ICAO Annex 6 Part I 8.8", phrases=CERTIFIES),
    Element("described", "what was done, or the data that describe it", "ICAO 8.8", places=("work", "data")),
    _place("date", "ICAO Annex 6 Part I 8.8"),
    _place("signer", "ICAO Annex 6 Part I 8.8"),
    _place("certificate_number", "ICAO Annex 6 Part I 8.8"),
    Element(
        "released",
        "that it is released or approved",
        "ICAO Annex 6 Part I 8.8",
        phrases=("return to service", "release to service", "released to service", "maintenance release"),
    ),
)
_US_INSPECTED = (*_inspected("14 CFR 43.11(a)(4)"), _AIRWORTHY)
_US_REFUSED = (*_inspected("14 CFR 43.11(a)(5)"), *_LISTED)

ELEMENTS: Final[dict[str, dict[str, tuple[Element, ...]]]] = {
    US: {
        WORK: _US_WORK,
        INSPECTED: _US_INSPECTED,
        REFUSED: _US_REFUSED,
        PROGRESSIVE: (*_PROGRESSIVE, _AIRWORTHY),
        PROGRESSIVE_REFUSED: (*_PROGRESSIVE, *_LISTED),
        PROGRAMME: (*_PROGRAMME, _AIRWORTHY),
        PROGRAMME_REFUSED: (*_PROGRAMME, *_LISTED),
    },
    US_PROGRAMME: {
        WORK: _RELEASE_135,
        INSPECTED: (*_PROGRAMME, *_RELEASE_135[3:]),
        REFUSED: (*_PROGRAMME, *_LISTED),
    },
    EASA: {
        WORK: (*_CRS_CORE, *_ORGANISATION),
        PILOT_OWNER: (*_CRS_CORE, _PILOT_OWNER),
        PROVISIONAL: (*_CRS_CORE, *_RECHECK),
        INSPECTED: (*_CRS_CORE, *_ORGANISATION, _place("inspection", "AMC M.A.801(f) 1")),
        REFUSED: (*_inspected("145.A.50(c)"), *_LISTED),
    },
    CANADA: {
        WORK: _CANADA,
        CONDITIONAL: (*_CANADA, _CONDITION),
        INSPECTED: (*_CANADA, _place("inspection", "CAR 605.93")),
        REFUSED: (*_inspected("CAR 571"), *_LISTED),
    },
    AUSTRALIA: {
        WORK: _AUSTRALIA,
        INSPECTED: (*_AUSTRALIA, _place("inspection", "CASR 42.760")),
        REFUSED: (*_inspected("CASR 42"), *_LISTED),
    },
    OTHER: {
        WORK: _OTHER,
        INSPECTED: (*_OTHER, _place("inspection", "ICAO Annex 6 Part I 8.8")),
        REFUSED: (*_inspected("ICAO Annex 6 Part I 8.8"), *_LISTED),
    },
}


def elements_of(ruleset: str, outcome: str) -> tuple[Element, ...]:
    """Return what a statement has to hold.

    Parameters
    ----------
    ruleset, outcome : str
        One of ``RULESETS``, and one of the outcomes that it has.

    Returns
    -------
    tuple of Element
        In the order in which the clauses ask for them.

    Raises
    ------
    ValueError
        If the rule-set is not known or has no such outcome.

    Notes
    -----
    The clauses let wording be similar to theirs: an element is held by a placeholder, or by any of a few phrases.

    References
    ----------
    14 CFR 43.9(a), 43.11(a)(4) to (7), 135.443(b); AMC M.A.801(f), 145.A.50; CAR 571.10, 605.93;
    CASR 42.760; ICAO Annex 6 Part I.
    """
    if ruleset not in ELEMENTS:
        raise ValueError(f"There is no rule-set {ruleset!r}; there are {', '.join(ELEMENTS)}.")
    if outcome not in ELEMENTS[ruleset]:
        raise ValueError(f"{RULESETS[ruleset]} has no outcome {outcome!r}; it has {', '.join(ELEMENTS[ruleset])}.")
    return ELEMENTS[ruleset][outcome]
