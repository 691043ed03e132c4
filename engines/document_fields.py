"""Reading plain data field by field, collecting every fault under its path."""

import math
from dataclasses import dataclass, field
from typing import Any

MISSING = object()


def _kind(value: Any) -> str:
    names = {dict: "an object", list: "a list", str: "a text", bool: "true or false", type(None): "null"}
    return names.get(type(value), "a number" if isinstance(value, int | float) else type(value).__name__)


def _finite(value: float) -> float | None:
    """Return a number as a finite float, or None where it is none."""
    try:
        return float(value) if math.isfinite(value) else None
    except OverflowError:
        return None


def _is_kept(text: str) -> bool:
    """Return whether every database and every page can hold a text."""
    return "\0" not in text and not any("\ud800" <= letter <= "\udfff" for letter in text)


@dataclass
class Fields:
    """One object of a document: its path, its values, and the faults found so far in the whole document."""

    path: str
    values: dict[str, Any]
    found: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, value: Any, path: str = "", found: dict[str, str] | None = None) -> "Fields":
        """Return the fields of a value; one that is no object is a fault and reads as empty."""
        found = {} if found is None else found
        if isinstance(value, dict):
            return cls(path, value, found)
        found.setdefault(path or "document", f"must be an object, not {_kind(value)}")
        return cls(path, {}, found)

    @property
    def faults(self) -> dict[str, str]:
        """Return the faults at or below this object's path."""
        if not self.path:
            return self.found
        below = (f"{self.path}.", f"{self.path}[")
        return {path: text for path, text in self.found.items() if path == self.path or path.startswith(below)}

    def _path(self, key: str) -> str:
        return f"{self.path}.{key}" if self.path else key

    def fault(self, key: str, text: str) -> None:
        """Record what is wrong with a field; the first fault of a path stands."""
        self.found.setdefault(self._path(key), text)

    def summary(self) -> str:
        """Return one sentence that names the first fault and how many more there are."""
        (path, text), *rest = self.found.items()
        more = f" ({len(rest)} more)" if rest else ""
        return f"{path}: {text}{more}."

    def allow(self, *keys: str) -> None:
        """Fault every key that is not one of those given."""
        for key in self.values:
            if key not in keys:
                self.fault(str(key), f"is not known here; known are {', '.join(keys)}")

    def has(self, key: str) -> bool:
        """Return whether a field is given, and not as null."""
        return self.values.get(key) is not None

    def value(self, key: str) -> Any:
        """Return a field's value; a fault and None where it is missing."""
        if key not in self.values:
            if self.path not in self.found:
                self.fault(key, "is missing")
            return None
        return self.values[key]

    def _typed(self, key: str, default: Any, fits: bool, wanted: str, fallback: Any) -> Any:
        if default is not MISSING and not self.has(key):
            return default
        value = self.value(key)
        if fits:
            return value
        if key in self.values:
            self.fault(key, f"must be {wanted}, not {_kind(value)}")
        return fallback

    def text(self, key: str, default: Any = MISSING, most: int = 240) -> str:
        """Return a field that must be a text with something in it, no longer than ``most`` characters."""
        value = self.values.get(key)
        text = self._typed(key, default, isinstance(value, str), "a text", "")
        if isinstance(value, str) and not value.strip() and default is MISSING:
            self.fault(key, "must not be empty")
        if len(str(text)) > most:
            self.fault(key, f"must not be longer than {most} characters")
        if not _is_kept(str(text)):
            self.fault(key, "must not hold U+0000 or half of a surrogate pair")
        return str(text)

    def number(self, key: str, default: Any = MISSING, least: float | None = None) -> float:
        """Return a field that must be a finite number, no smaller than ``least``."""
        value = self.values.get(key)
        fits = isinstance(value, int | float) and not isinstance(value, bool)
        number = _finite(self._typed(key, default, fits, "a number", 0.0))
        if number is None:
            self.fault(key, "must be a finite number")
            return 0.0
        if least is not None and number < least:
            self.fault(key, f"must not be below {least:g}")
        return number

    def whole(self, key: str, least: int) -> int:
        """Return a field that must be a whole number, no smaller than ``least``."""
        number = self.number(key, least=least)
        if number != int(number):
            self.fault(key, "must be a whole number")
        return int(number)

    def flag(self, key: str, default: Any = MISSING) -> bool:
        """Return a field that must be true or false."""
        return bool(self._typed(key, default, isinstance(self.values.get(key), bool), "true or false", False))

    def choice(self, key: str, values: tuple[str, ...]) -> str:
        """Return a field that must be one of some words; the first is the default."""
        value = self.values.get(key)
        word = self._typed(key, values[0], isinstance(value, str), "a text", values[0])
        if word not in values:
            self.fault(key, f"must be {' or '.join(values)}, not “{word}”")
            return values[0]
        return str(word)

    def child(self, key: str) -> "Fields":
        """Return the object under a key."""
        value = self.value(key)
        return Fields.of(value if key in self.values else {}, self._path(key), self.found)

    def items(self, key: str, least: int = 0) -> list["Fields"]:
        """Return the objects of a list."""
        found = self._typed(key, MISSING, isinstance(self.values.get(key), list), "a list", [])
        if len(found) < least and isinstance(self.values.get(key), list):
            self.fault(key, "must not be empty")
        return [Fields.of(item, f"{self._path(key)}[{k}]", self.found) for k, item in enumerate(found)]

    def texts(self, key: str, most: int = 240) -> tuple[str, ...]:
        """Return a list of texts, each no longer than ``most`` characters."""
        found = self._typed(key, MISSING, isinstance(self.values.get(key), list), "a list of texts", [])
        for k, item in enumerate(found):
            if not isinstance(item, str) or not item.strip() or len(item) > most or not _is_kept(item):
                self.fault(f"{key}[{k}]", f"must be a text with something in it, of no more than {most} characters")
        return tuple(str(item) for item in found)

    def unique(self, key: str, name: str) -> None:
        """Fault a name that a list uses twice."""
        seen: set[Any] = set()
        given_list = self.values.get(key)
        for k, item in enumerate(given_list if isinstance(given_list, list) else []):
            given = item.get(name) if isinstance(item, dict) else None
            if isinstance(given, str) and given in seen:
                self.fault(f"{key}[{k}].{name}", f"“{given}” is used twice")
            seen.add(given if isinstance(given, str) else None)
