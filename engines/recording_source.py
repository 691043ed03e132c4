"""The bytes of a recorded file as UTF-8 text, whatever they were wrapped and encoded in."""

import codecs
import gzip
import io
import re
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import BinaryIO, cast

from engines.errors import TraceError

HEAD = 1 << 16  # bytes looked at to find the layout
STEP = 1 << 18  # bytes handed to pandas at a time
GZIP = b"\x1f\x8b"
PARQUET = b"PAR1"
MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
CONTROL = bytes(set(range(32)) - set(b"\t\n\v\f\r\x1a\x1b"))
NOT_TEXT = "This is neither a text file nor a Parquet file; export the recording as CSV."
# A carriage return at the end of what was read so far may be the first half of one line's end.
LINE_END = re.compile(r"\r\n|\n|\r(?!\Z)")


class Section:
    """One stretch of a UTF-8 file, read a step at a time; several may read one handle in turn."""

    def __init__(self, handle: BinaryIO, lock: Lock, begin: int, end: int | None) -> None:
        self._handle, self._lock, self._at, self._end = handle, lock, begin, end

    def read(self, size: int = -1) -> bytes:
        """Return the next step whatever size is asked for, which pandas allows."""
        wanted = STEP if self._end is None else min(STEP, self._end - self._at)
        with self._lock:
            self._handle.seek(self._at)
            data = self._handle.read(wanted)
        self._at += len(data)
        return data

    def __iter__(self) -> Iterator[bytes]:
        return iter(self.read, b"")


class Transcoded:
    """A file in another encoding, read a step at a time as UTF-8."""

    def __init__(self, handle: BinaryIO, encoding: str, begin: int, skipped: int) -> None:
        handle.seek(begin)
        self._handle, self._skipped = handle, skipped
        self._decoder = codecs.getincrementaldecoder(encoding)(errors="replace")

    def read(self, size: int = -1) -> bytes:
        """Return the next step whatever size is asked for, which pandas allows."""
        data, raw = b"", b"more"
        while raw and not data:
            raw = self._handle.read(STEP)
            data = self._decoder.decode(raw, final=not raw).encode()
            dropped = min(self._skipped, len(data))
            self._skipped -= dropped
            data = data[dropped:]
        return data

    def __iter__(self) -> Iterator[bytes]:
        return iter(self.read, b"")


@dataclass(frozen=True)
class TextSource:
    """A text file held open: its encoding, where its text begins, its head, and its size where that is known."""

    handle: BinaryIO
    encoding: str
    begin: int
    head: str
    is_whole: bool
    size: int | None
    lock: Lock = field(default_factory=Lock)

    def sections(self, offset: int, count: int) -> list[Section | Transcoded]:
        """Return the text from an offset (in bytes of UTF-8) on, cut at line ends into at most ``count`` stretches."""
        if self.encoding != "utf-8":
            return [Transcoded(self.handle, self.encoding, self.begin, offset)]
        first = self.begin + offset
        if self.size is None:
            return [Section(self.handle, self.lock, first, None)]
        cuts = [first, *(self._line_end(first + (self.size - first) * k // count) for k in range(1, count)), self.size]
        return [Section(self.handle, self.lock, a, b) for a, b in zip(cuts, cuts[1:], strict=False) if a < b]

    def _line_end(self, at: int) -> int:
        """Return where the line that holds a byte ends."""
        self.handle.seek(at)
        return at + len(self.handle.readline())


@contextmanager
def recording_open(source: str | Path | BinaryIO, name: str = "") -> Iterator[BinaryIO]:
    """Open a recorded file for reading anywhere in it, unwrapped where it is gzipped.

    Parameters
    ----------
    source : str, Path or binary file
        A path, or a file open for reading bytes, which is read from its beginning and left open.
    name : str
        What the file is called in messages.

    Yields
    ------
    binary file
        A seekable handle at its beginning.

    Raises
    ------
    TraceError
        If the file cannot be opened or read, or a gzipped one is damaged.
    """
    try:
        if isinstance(source, str | Path):
            with open(source, "rb") as handle:
                yield _unwrapped(handle)
        else:
            if not source.seekable():
                source = io.BytesIO(source.read())
            source.seek(0)
            yield _unwrapped(source)
    except (OSError, EOFError, zlib.error) as error:
        reason = getattr(error, "strerror", None) or "It is damaged"
        raise TraceError(f"{name or 'The file'} can't be read: {reason[0].lower()}{reason[1:]}.") from error


def _unwrapped(handle: BinaryIO) -> BinaryIO:
    start = handle.read(2)
    handle.seek(0)
    return cast(BinaryIO, gzip.GzipFile(fileobj=handle)) if start == GZIP else handle


def is_parquet(handle: BinaryIO, name: str) -> bool:
    """Return whether a file is Parquet, by its first bytes or its name.

    Parameters
    ----------
    handle : binary file
        At its beginning, where it is left.
    name : str
        The file's name.

    Returns
    -------
    bool
    """
    start = handle.read(len(PARQUET))
    handle.seek(0)
    return start == PARQUET or name.lower().endswith(".parquet")


def encoding_of(raw: bytes) -> tuple[str, int]:
    """Return the encoding of a text by its first bytes, and how many of them are a byte-order mark.

    Parameters
    ----------
    raw : bytes
        The head of the file.

    Returns
    -------
    tuple of (str, int)
        ``"utf-8"``, ``"utf-16-le"``, ``"utf-16-be"``, or ``"latin-1"`` where nothing else fits; bytes of the mark.

    Raises
    ------
    TraceError
        If the bytes are not text.
    """
    for mark, encoding in MARKS:
        if raw.startswith(mark):
            return encoding, len(mark)
    even, odd = raw[0::2].count(0), raw[1::2].count(0)
    if max(even, odd) > len(raw) // 4 and min(even, odd) == 0:
        return ("utf-16-le" if odd else "utf-16-be"), 0
    if len(raw) - len(raw.translate(None, CONTROL)) > len(raw) // 1000:
        raise TraceError(NOT_TEXT)
    try:
        codecs.getincrementaldecoder("utf-8")().decode(raw)
    except UnicodeDecodeError:
        return "latin-1", 0
    return "utf-8", 0


def text_source(handle: BinaryIO) -> TextSource:
    """Return a text file with its encoding and its head.

    Parameters
    ----------
    handle : binary file
        Seekable, at its beginning.

    Returns
    -------
    TextSource
        The size is known, and the file may be read in stretches, only where it is plain UTF-8.

    Raises
    ------
    TraceError
        If the file is empty or not text.
    """
    raw = handle.read(HEAD)
    if not raw.strip():
        raise TraceError("The file is empty; a recording has a row of headers and rows of numbers below it.")
    encoding, begin = encoding_of(raw)
    is_whole = not handle.read(1)
    head = codecs.getincrementaldecoder(encoding)(errors="replace").decode(raw[begin:], final=is_whole)
    is_plain = encoding == "utf-8" and not isinstance(handle, gzip.GzipFile)
    return TextSource(handle, encoding, begin, head, is_whole, handle.seek(0, io.SEEK_END) if is_plain else None)


def lines_of(blocks: Iterable[bytes]) -> Iterator[str]:
    """Return the lines of a text that comes in blocks of UTF-8, without their ends.

    Parameters
    ----------
    blocks : iterable of bytes
        Cut anywhere.

    Yields
    ------
    str
        One line after the other, whichever way it ends.
    """
    carry = ""
    for block in blocks:
        *lines, carry = LINE_END.split(carry + block.decode(errors="replace"))
        yield from lines
    yield carry.rstrip("\r")
