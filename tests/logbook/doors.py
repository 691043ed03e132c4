"""Every address that the site answers to, by the name of its view, with what fills it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from logbook.access import ADMIN
from logbook.urls_accounts import ALSO_KNOWN_AS

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
REST = "api/v1/"
# What in an address says how a list is to be given, and names no object.
FORM = {"form": "csv"}
FORMS = set(FORM)


@dataclass(frozen=True)
class Address:
    """One pattern of the site map: the full name of its view, its route, and the names of what fills it."""

    name: str
    route: str
    keys: tuple[str, ...]

    @property
    def is_rest(self) -> bool:
        """Return whether other programs come in here."""
        return self.name.startswith("api:")

    @property
    def is_admin(self) -> bool:
        """Return whether staff come in here."""
        return self.name.startswith(ADMIN)


def addresses() -> list[Address]:
    """Return every address, second names of the same screen left out."""
    second = {pattern.name for pattern in ALSO_KNOWN_AS}
    return [address for address in _walk(get_resolver(), "", "", ()) if address.name not in second]


def _walk(resolver: URLResolver, space: str, route: str, keys: tuple[str, ...]) -> Iterator[Address]:
    for entry in resolver.url_patterns:
        way = route + str(entry.pattern)
        needs = (*keys, *entry.pattern.regex.groupindex)
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            yield from _walk(entry, inner, way, needs)
        elif isinstance(entry, URLPattern):
            yield Address(f"{space}{entry.name or entry.lookup_str}", way, needs)


def filled(address: Address, objects: dict[str, dict[str, Any]]) -> str:
    """Return the path of an address, filled with what stands under its part of the site."""
    part = max((part for part in objects if address.route.startswith(part)), key=len, default=None)
    if set(address.keys) - FORMS and part is None:
        raise LookupError(
            f"The walk does not know what stands at {address.route}: tell it in tests/logbook/test_access_walk.py."
        )
    known = FORM | (objects[part] if part else {})
    return reverse(address.name, kwargs={key: known[key] for key in address.keys})


def ask(client: Client, address: Address, method: str, path: str) -> Any:
    """Send an empty request: nothing more is needed to see who is let in."""
    response = _sent(client, address, method, path)
    if response.streaming:
        response.body = b"".join(response.streaming_content)
    return response


def _sent(client: Client, address: Address, method: str, path: str) -> Any:
    if method == "GET":
        return client.get(path)
    if address.is_rest and not path.endswith("/trace/"):
        return client.generic(method, path, "{}", content_type="application/json")
    send: Callable[..., Any] = getattr(client, method.lower())
    return send(path, {}) if method == "POST" else send(path)


def body_of(response: Any) -> bytes:
    """Return what a response holds, also where it came in pieces."""
    body: bytes = response.body if response.streaming else response.content
    return body
