"""The life of an inspection: its states, and the moves between them, as one table."""

from typing import Final

OPEN: Final = "open"
IN_WORK: Final = "in_work"
APPROVED: Final = "approved"
NOT_APPROVED: Final = "not_approved"

LABELS: Final = {
    OPEN: "Open",
    IN_WORK: "In work",
    APPROVED: "Approved for return to service",
    NOT_APPROVED: "Not approved for return to service",
}

# What may follow what; an approved inspection is at its end.
MOVES: Final = {
    OPEN: (IN_WORK, APPROVED, NOT_APPROVED),
    IN_WORK: (APPROVED, NOT_APPROVED),
    NOT_APPROVED: (IN_WORK,),
    APPROVED: (),
}

UNSETTLED: Final = (OPEN, IN_WORK, NOT_APPROVED)


def may_move(state: str, to: str) -> bool:
    """Return whether an inspection may go from one state to another; KeyError for a state that is none.

    Parameters
    ----------
    state, to : str
        Two of the states of this module.

    Returns
    -------
    bool
        Whether the move is in the table.
    """
    return to in MOVES[state]


def holds_engine(state: str, *, before_next_flight: bool) -> bool:
    """Return whether an inspection in this state makes its engine unserviceable.

    Parameters
    ----------
    state : str
        The inspection's state.
    before_next_flight : bool
        Whether the approved data wants it done before the next flight.

    Returns
    -------
    bool
        True while it is unsettled and due before flight, and always after it was not approved.
    """
    return state == NOT_APPROVED or (before_next_flight and state in UNSETTLED)
