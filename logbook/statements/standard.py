"""The templates that an operator starts from, in words of our own; each stands up to its rules, and may be edited."""

from typing import Final

from logbook.statements import elements as e

_SIGNED = "{signer}, {certificate_kind} {certificate_number}"
_AT = "on {date}, at {hours} total time in service"
_GIVEN = (
    "A list of discrepancies and unairworthy items, number {list}, dated {list_date}, was given to {recipient}. "
    "It is not approved for return to service."
)
_US_INSPECTED = f"I certify that {{item}} was inspected {_AT}: {{inspection}}"
_PROGRAMME = (
    f"I certify that {{item}} was inspected {_AT}, under {{programme}}, {{part}}, "
    "and that the procedures of that programme were followed."
)
_PROGRESSIVE = (
    f"I certify that {_AT} a progressive inspection of {{item}} was carried out: "
    "routine inspection of {routine}; detailed inspection of {detailed}."
)
_CRS = (
    "{signer}, authorisation or licence {certificate_number}, certifies that the work specified ({work}), except as "
    "otherwise specified, was carried out in accordance with "
)
_CRS_END = (
    "to {data}, completed on {date} at {hours}, {cycles} cycles, and in respect of that work {item} is considered "
    "ready for release to service. Limitations: {limitations}. Work left incomplete: {incomplete}."
)
_BY = "{organisation}, approval {approval}: "
_135 = (
    "The work met the requirements of the operator's manual; every required inspection item was inspected by an "
    "authorised person, who found it satisfactory; no condition is known that would make {item} unairworthy; the work "
    "was controlled, and so far as it is concerned {item} is in condition for safe operation. "
)
_NAMED = "Certificate of release to service. "
_CANADA = (
    "The described maintenance ({work}) was completed on {date} at {hours} total time in service and performed in "
    "accordance with the applicable airworthiness requirements."
)

_AUSTRALIA = (
    f"{_NAMED}Aircraft {{registration}}. Approval: {{approval}}. I certify that the work described ({{work}}) was "
    "completed on {date} at {hours} total time in service, to {data}"
)

STANDARD: Final[dict[str, dict[str, str]]] = {
    e.US: {
        e.WORK: (
            "{item}: {work}. Worked to {data}; completed on {date}, at {hours} total time in service. In respect of "
            f"the work described, and of nothing else, it is approved for return to service. {_SIGNED}"
        ),
        e.INSPECTED: f"{_US_INSPECTED}. It was found to be in airworthy condition. {_SIGNED}",
        e.REFUSED: f"{_US_INSPECTED}. {_GIVEN} {_SIGNED}",
        e.PROGRESSIVE: f"{_PROGRESSIVE} It was found to be in airworthy condition. {_SIGNED}",
        e.PROGRESSIVE_REFUSED: f"{_PROGRESSIVE} {_GIVEN} {_SIGNED}",
        e.PROGRAMME: f"{_PROGRAMME} It was found to be in airworthy condition. {_SIGNED}",
        e.PROGRAMME_REFUSED: f"{_PROGRAMME} {_GIVEN} {_SIGNED}",
    },
    e.US_PROGRAMME: {
        e.WORK: f"{{item}}: {{work}}. Worked to {{data}}; completed on {{date}}. {_135}{_SIGNED}",
        e.INSPECTED: f"{_PROGRAMME} {_135}{_SIGNED}",
        e.REFUSED: f"{_PROGRAMME} {_GIVEN} {_SIGNED}",
    },
    e.EASA: {
        e.WORK: f"{_BY}{_CRS}Part-145, {_CRS_END}",
        e.PILOT_OWNER: f"Limited pilot-owner maintenance. {_CRS}Part-ML, {_CRS_END}",
        e.PROVISIONAL: f"{_CRS}Part-M, {_CRS_END} Authorised by the owner; to be checked again: {{pending}}.",
        e.INSPECTED: f"{_BY}{_CRS}Part-145, {_CRS_END} Inspection: {{inspection}}.",
        e.REFUSED: (
            f"{_BY}{_US_INSPECTED}. A list of defects, number {{list}}, dated {{list_date}}, was given to "
            f"{{recipient}}. No certificate of release to service is issued. {_SIGNED}"
        ),
    },
    e.CANADA: {
        e.WORK: f"{_CANADA} {_SIGNED}",
        e.CONDITIONAL: f"{_CANADA} This release is subject to {{pending}}. {_SIGNED}",
        e.INSPECTED: f"{_CANADA} Inspection: {{inspection}}, {{item}}. {_SIGNED}",
        e.REFUSED: f"{_US_INSPECTED}. {_GIVEN} {_SIGNED}",
    },
    e.AUSTRALIA: {
        e.WORK: f"{_AUSTRALIA}. In respect of that work {{item}} is released to service. {_SIGNED}",
        e.INSPECTED: (
            f"{_AUSTRALIA}; inspection: {{inspection}}. In respect of that work {{item}} is released to service. "
            f"{_SIGNED}"
        ),
        e.REFUSED: f"{_US_INSPECTED}. {_GIVEN} {_SIGNED}",
    },
    e.OTHER: {
        e.WORK: (
            f"{_NAMED}I certify that the work described ({{work}}) was completed on {{date}} at {{hours}} total time "
            f"in service, to {{data}}. In respect of that work {{item}} is released to service. {_SIGNED}"
        ),
        e.INSPECTED: (
            f"{_NAMED}I certify that the work described ({{work}}) and the inspection {{inspection}} were completed on "
            f"{{date}} at {{hours}} total time in service. In respect of that work {{item}} is released to service. "
            f"{_SIGNED}"
        ),
        e.REFUSED: f"{_US_INSPECTED}. {_GIVEN} {_SIGNED}",
    },
}
