"""Any file that a recorder could write reads back to the numbers that were written."""

from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from engines.errors import TraceError
from tests.engines.recorders import read

# Text that stands above a table: serial numbers, dates, notes with quotes, empty lines.
PREAMBLES = st.lists(
    st.sampled_from(
        ["", "Serial: 1234", "Engine;RS-650", "2024-05-01,10:15", '"quoted" 5"', "a,b;c\td|e", "---", "5;6;7"]
    )
    | st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=30),
    max_size=30,
)
READINGS = st.none() | st.integers(-(10**7), 10**7).map(lambda k: k / 1000) | st.floats(-1e9, 1e9, allow_nan=False)


@dataclass(frozen=True)
class Style:
    """How one recorder writes its files."""

    delimiter: str
    comma: bool
    is_quoted: bool
    units: tuple[str, ...]
    line_end: str
    encoding: str
    missing: str

    def row(self, cells: list[str]) -> str:
        """Return one line of the file."""
        quoted = [f'"{cell}"' for cell in cells] if self.is_quoted else cells
        return self.delimiter.join(quoted)

    def number(self, value: float | None) -> str:
        """Return a reading with this recorder's decimal mark."""
        text = self.missing if value is None else repr(value)
        return text.replace(".", ",") if self.comma else text


@st.composite
def styles(draw: st.DrawFn) -> Style:
    """Return any style whose cells can be told apart."""
    delimiter = draw(st.sampled_from([",", ";", "\t", "|", "  ", " ; "]))
    missing = ["---", "N/A", "OVR"] if delimiter == "  " else ["", "---", "N/A", "OVR"]
    return Style(
        delimiter=delimiter,
        comma=delimiter != "," and draw(st.booleans()),
        is_quoted=draw(st.booleans()),
        units=draw(st.sampled_from([(), ("s", "degC", "%"), ("[s]", "[°C]", "[pct]")])),
        line_end=draw(st.sampled_from(["\n", "\r\n"])),
        encoding=draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16"])),
        missing=draw(st.sampled_from(missing)),
    )


@settings(max_examples=60)
@given(
    styles(),
    PREAMBLES,
    st.lists(st.tuples(st.integers(0, 10_000), READINGS, READINGS), min_size=1, max_size=30),
)
def test_what_was_written_is_read(
    style: Style, preamble: list[str], steps: list[tuple[int, float | None, float | None]]
) -> None:
    times = np.cumsum([step for step, _, _ in steps]) / 20
    columns = {"itt": [itt for _, itt, _ in steps], "n1": [n1 for _, _, n1 in steps]}
    lines = [*preamble, style.row(["time_s", *columns]), *([style.row(list(style.units))] if style.units else [])]
    lines += [style.row(list(map(style.number, row))) for row in zip(times.tolist(), *columns.values(), strict=True)]
    recording = read((style.line_end.join(lines) + style.line_end).encode(style.encoding))
    np.testing.assert_allclose(recording.trace.times, times - times[0], rtol=0, atol=1e-9)
    ignored = {ignored.column: ignored.cells for ignored in recording.ignored}
    for name, written in columns.items():
        np.testing.assert_array_equal(recording.trace.channels[name], np.array(written, dtype=np.float64))
        assert ignored.get(name, 0) == (written.count(None) if style.missing else 0)


@settings(max_examples=60)
@given(
    st.sampled_from(["utf-8", "latin-1", "utf-16"]),
    st.sampled_from(
        ["time_s,itt\n0,650.5\n0.5,--\n", "Date;Time;itt\n2024-05-01;10:00:00,5;1,5\n;;\n", "t itt\n0 1\n1 2\n"]
    ),
    st.lists(st.tuples(st.integers(0, 40), st.text('",;|\t\n\r :-+.019eTZ\0\x1a°é', max_size=4)), max_size=6),
)
def test_a_spoiled_file_is_read_or_refused_in_words(encoding: str, text: str, spoils: list[tuple[int, str]]) -> None:
    for at, spoil in spoils:
        text = text[:at] + spoil + text[at:]
    with suppress(TraceError):
        trace = read(text.encode(encoding)).trace
        assert trace.times[0] == 0
        assert np.isfinite(trace.times).all()
