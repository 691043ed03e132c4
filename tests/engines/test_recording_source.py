"""The bytes of a file come as UTF-8 text in stretches that end where lines end."""

import io
from threading import Lock

import pytest

from engines.errors import TraceError
from engines.recording_source import (
    HEAD,
    STEP,
    Section,
    Transcoded,
    encoding_of,
    is_parquet,
    lines_of,
    recording_open,
    text_source,
)

ROWS = b"".join(b"%d,%d\n" % (k, k * k) for k in range(60_000))


@pytest.mark.parametrize(
    ("raw", "encoding", "mark"),
    [
        (b"a,b", "utf-8", 0),
        (b"\xef\xbb\xbfa,b", "utf-8", 3),
        ("itt °C".encode(), "utf-8", 0),
        ("itt °C".encode()[:-2], "utf-8", 0),
        ("itt °C".encode("latin-1"), "latin-1", 0),
        ("\ufeffa,b".encode("utf-16-le"), "utf-16-le", 2),
        ("\ufeffa,b".encode("utf-16-be"), "utf-16-be", 2),
        ("a,b".encode("utf-16-le"), "utf-16-le", 0),
        ("a,b".encode("utf-16-be"), "utf-16-be", 0),
    ],
)
def test_the_encoding_is_seen_in_the_first_bytes(raw: bytes, encoding: str, mark: int) -> None:
    assert encoding_of(raw) == (encoding, mark)


@pytest.mark.parametrize("raw", [b"\x7fELF\x02\x01\x01\0\0\0", b"PK\x03\x04" + bytes(range(32)), b"a\0b\0\0c"])
def test_bytes_that_are_no_text_are_refused(raw: bytes) -> None:
    with pytest.raises(TraceError, match="neither a text file nor a Parquet file"):
        encoding_of(raw)


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_stretches_end_at_line_ends_and_leave_nothing_out(count: int) -> None:
    source = text_source(io.BytesIO(b"\xef\xbb\xbfhead\n" + ROWS))
    parts = [b"".join(section) for section in source.sections(5, count)]
    assert len(parts) == count
    assert b"".join(parts) == ROWS
    assert all(part.endswith(b"\n") for part in parts)


def test_a_stretch_that_would_be_empty_is_left_out() -> None:
    source = text_source(io.BytesIO(b"head\none long line\n"))
    assert [b"".join(section) for section in source.sections(5, 4)] == [b"one long line\n"]


def test_a_stretch_is_read_a_step_at_a_time() -> None:
    section = Section(io.BytesIO(b"x" * (STEP + 10)), Lock(), 4, None)
    assert [len(section.read(1)), len(section.read()), len(section.read())] == [STEP, 6, 0]


def test_another_encoding_is_turned_into_utf_8_without_what_stands_before() -> None:
    text = "é;\n" * STEP
    source = text_source(io.BytesIO(("\ufeff" + text).encode("utf-16-le")))
    (section,) = source.sections(4, 3)
    assert b"".join(section).decode() == text[3:]


def test_a_skipped_text_may_be_longer_than_a_step() -> None:
    skipped = 2 * STEP + 5
    transcoded = Transcoded(io.BytesIO(b"\xe9" * 3 * STEP), "latin-1", 0, skipped)
    assert sum(map(len, transcoded)) == 6 * STEP - skipped


def test_the_head_of_a_long_text_is_cut_between_letters() -> None:
    source = text_source(io.BytesIO(b"x" + "é".encode() * HEAD))
    assert (source.head, source.is_whole) == ("x" + "é" * (HEAD // 2 - 1), False)
    assert text_source(io.BytesIO("xé".encode())).is_whole


@pytest.mark.parametrize(
    ("raw", "name", "expected"),
    [(b"PAR1....", "", True), (b"a,b", "run.PARQUET", True), (b"a,b", "run.csv", False), (b"", "", False)],
)
def test_parquet_is_known_by_its_first_bytes_or_its_name(raw: bytes, name: str, expected: bool) -> None:
    handle = io.BytesIO(raw)
    assert (is_parquet(handle, name), handle.tell()) == (expected, 0)


def test_an_error_of_reading_names_the_file() -> None:
    with (
        pytest.raises(TraceError, match=r"run\.csv can't be read: it is damaged\."),
        recording_open(io.BytesIO(b""), "run.csv"),
    ):
        raise EOFError
    with pytest.raises(TraceError, match=r"The file can't be read: no space left\."), recording_open(io.BytesIO(b"")):
        raise OSError(28, "No space left")


@pytest.mark.parametrize(
    ("blocks", "lines"),
    [
        ([], [""]),
        ([b"a\nb"], ["a", "b"]),
        ([b"a\r", b"\nb\rc\r\n", b"d"], ["a", "b", "c", "d"]),
        ([b"a\n", b"\nb\n"], ["a", "", "b", ""]),
        ([b"a\rb\r"], ["a", "b"]),
        ([b"\xc3", b"\xa9"], ["\ufffd\ufffd"]),
    ],
)
def test_lines_are_found_however_they_end(blocks: list[bytes], lines: list[str]) -> None:
    assert list(lines_of(blocks)) == lines
