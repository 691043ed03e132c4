"""A stored recording comes back bit for bit, and its bytes depend on nothing else."""

import hashlib
import math
import struct
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engines.errors import TraceError
from engines.trace_codec import trace_pack, trace_unpack
from engines.traces import ColumnMatch, Ignored, Recording, Trace

NAN = math.nan
TENTHS = [k / 10 for k in range(-50, 50)]


def recording(*columns: list[float], started_at: datetime | None = None) -> Recording:
    """Return a recording of these columns, one second apart."""
    times = np.arange(len(columns[0]), dtype=np.float64)
    return Recording(
        trace=Trace(times, {f"c{k}": np.array(column, dtype=np.float64) for k, column in enumerate(columns)}),
        matches=(ColumnMatch("ITT [°C]", "c0", "degC"),),
        unused=("spare",),
        ignored=(Ignored("ITT [°C]", 3, "—"),),
        started_at=started_at,
    )


def bits(values: np.ndarray) -> list[int]:
    """Return the bits of floats, all kinds of NaN alike."""
    return np.where(np.isnan(values), NAN, values).view(np.int64).tolist()


def assert_returns(original: Recording) -> None:
    """Check that a recording survives being stored."""
    packed = trace_pack(original)
    returned = trace_unpack(packed)
    assert bits(returned.trace.times) == bits(original.trace.times)
    assert list(returned.trace.channels) == list(original.trace.channels)
    for name, values in original.trace.channels.items():
        assert bits(returned.trace.channels[name]) == bits(values)
    assert (returned.matches, returned.unused) == (original.matches, original.unused)
    assert (returned.ignored, returned.started_at) == (original.ignored, original.started_at)
    assert trace_pack(returned) == packed


@pytest.mark.parametrize(
    "column",
    [
        [],
        [1.0],
        TENTHS,
        [NAN, *TENTHS, NAN, NAN],
        [0.1 + 0.2, 1 / 3, math.pi],
        [-0.0, 0.0],
        [math.inf, -math.inf, NAN],
        [1e308, -1e308, 5e-324],
        [2.0**53, 2.0**53 - 1, -(2.0**53)],
        [struct.unpack("<d", b"\x01\0\0\0\0\0\xf8\xff")[0], 1.5],
    ],
)
def test_every_bit_comes_back(column: list[float]) -> None:
    assert_returns(recording(column))


@given(
    st.lists(st.floats(width=64), max_size=40),
    st.lists(st.integers(-(10**9), 10**9).map(lambda k: k / 100), max_size=40),
    st.sampled_from(
        [None, datetime(2024, 5, 1, tzinfo=UTC), datetime(2024, 5, 1, tzinfo=timezone(timedelta(minutes=150)))]
    ),
)
def test_any_numbers_come_back(any_floats: list[float], hundredths: list[float], started_at: datetime | None) -> None:
    length = min(len(any_floats), len(hundredths))
    assert_returns(recording(any_floats[:length], hundredths[:length], started_at=started_at))


def test_the_bytes_are_the_same_every_time() -> None:
    """The fingerprint is recorded, so the layout of what was stored once must not change."""
    whole = recording([650.5, 651.0, NAN, 1 / 3], started_at=datetime(2024, 5, 1, tzinfo=UTC))
    assert trace_pack(whole) == trace_pack(whole)
    assert (
        hashlib.sha256(trace_pack(recording(TENTHS))).digest() == hashlib.sha256(trace_pack(recording(TENTHS))).digest()
    )


def test_readings_of_few_decimals_take_little_room() -> None:
    """Three hours at four a second, twelve channels that wander by tenths, take less than an eighth of their floats."""
    noise = np.random.default_rng(1)
    rows = 3 * 3600 * 4
    columns = [np.round(600 + np.cumsum(noise.normal(0, 0.3, rows)), 1).tolist() for _ in range(12)]
    assert len(trace_pack(recording(*columns))) < 12 * rows


@pytest.mark.parametrize("at", [0, 9, 13, 40, -1])
def test_a_changed_byte_is_noticed(at: int) -> None:
    data = bytearray(trace_pack(recording(TENTHS)))
    data[at] ^= 1
    with pytest.raises(TraceError, match="The stored trace is damaged") as refusal:
        trace_unpack(bytes(data))
    assert refusal.value.code == "trace_damaged"


@pytest.mark.parametrize("length", [0, 5, 11, 15, 100])
def test_missing_bytes_are_noticed(length: int) -> None:
    with pytest.raises(TraceError, match="The stored trace is damaged"):
        trace_unpack(trace_pack(recording(TENTHS))[:length])
