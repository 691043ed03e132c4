"""Statement templates: text of an operator's own with placeholders, which cannot lose what its rules ask for."""

import re
from collections.abc import Mapping
from string import Formatter
from typing import Final

from logbook.statements.elements import PLACES, REFUSALS, Element, elements_of

# Words that would say the opposite of the outcome, though the required words stand beside them.
APPROVES: Final = re.compile(
    r"(?<!not )approved for return to service|(?<!not )\bairworthy\b|(?<!not )ready for release|"
    r"(?<!not )\breleased (to|for) service",
    re.IGNORECASE,
)
REFUSES: Final = re.compile(
    r"not (found |in any way )?airworthy|not approved|not ready|not released|\bun(?:air|-air)worthy(?! condition| is)",
    re.IGNORECASE,
)
# A known condition that makes it unairworthy is denied by the airworthiness release itself.
DENIED: Final = re.compile(r"no (known )?condition[^.;]*unairworthy", re.IGNORECASE)


def places_in(template: str) -> list[str]:
    """Return the placeholders of a template, in order.

    Parameters
    ----------
    template : str
        The text, placeholders between braces; a brace of the text itself is doubled.

    Returns
    -------
    list of str
        Their names, as often as they stand.

    Raises
    ------
    ValueError
        If a brace is left open, or anything but the name of a placeholder stands between braces.
    """
    found = []
    for _, name, form, conversion in Formatter().parse(template):
        if name is None:
            continue
        if name not in PLACES or form or conversion:
            raise ValueError(f"“{{{name}}}” is no placeholder; there are {', '.join(PLACES)}.")
        found.append(name)
    return found


def template_faults(template: str, ruleset: str, outcome: str) -> dict[str, str]:
    """Return what a template lacks of what its rules ask for.

    Parameters
    ----------
    template : str
        The text.
    ruleset, outcome : str
        As for :func:`logbook.statements.elements.elements_of`.

    Returns
    -------
    dict
        Key of the missing element to a sentence; ``"template"`` for text that can't be read at all, ``"opposite"``
        for words that contradict the outcome. Empty where the template may stand.
    """
    elements = elements_of(ruleset, outcome)
    try:
        places = set(places_in(template))
    except ValueError as error:
        return {"template": str(error)}
    faults = {e.key: lacking_words(e) for e in elements if not _holds(template, places, e)}
    return faults | _opposite(template, outcome)


def lacking_words(element: Element) -> str:
    """Return what to say where a template lacks an element.

    Parameters
    ----------
    element : Element
        The element.

    Returns
    -------
    str
        What is missing, which placeholder or phrase holds it, and the clause.
    """
    places = " or ".join(f"{{{name}}}" for name in element.places)
    phrases = " or ".join(f"“{phrase}”" for phrase in element.phrases)
    how = " and ".join(part for part in (places, phrases) if part)
    return f"Missing: {element.words} ({element.clause}). Use {how}."


def _holds(template: str, places: set[str], element: Element) -> bool:
    text = " ".join(template.lower().split())
    has_place = not element.places or not places.isdisjoint(element.places)
    return has_place and (not element.phrases or any(phrase in text for phrase in element.phrases))


def _opposite(template: str, outcome: str) -> dict[str, str]:
    text = " ".join(template.split())
    found = APPROVES.search(text) if outcome in REFUSALS else REFUSES.search(DENIED.sub("", text))
    if found is None:
        return {}
    return {"opposite": f"“{found[0]}” says the opposite of this outcome; take it out."}


def statement_render(template: str, values: Mapping[str, str]) -> str:
    """Return a statement: the template with a value for each placeholder.

    Parameters
    ----------
    template : str
        The text.
    values : mapping of str to str
        A text for every placeholder that stands in it.

    Returns
    -------
    str
        The statement; nothing in a value is read as a placeholder.

    Raises
    ------
    ValueError
        If a placeholder has no value, or a blank one; what is none is said to be ``"none"``.
    """
    blank = [name for name in places_in(template) if not values.get(name, "").strip()]
    if blank:
        raise ValueError(f"The statement has no {', no '.join(PLACES[name] for name in dict.fromkeys(blank))}.")
    return template.format_map({name: text.strip() for name, text in values.items()})
