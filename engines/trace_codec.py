"""A recording as one compressed, columnar, lossless blob, the same bytes for the same recording."""

import json
import zlib
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engines.errors import TraceError
from engines.traces import ColumnMatch, Floats, Ignored, Recording, Trace

MAGIC = b"EMTRACE1"
SCALES = (1, 10, 100, 1000, 10_000, 1_000_000)
LARGEST = 2**53  # beyond it a float no longer holds every whole number
LEVEL = 6
UNSCALED = 0
DAMAGED = "The stored trace is damaged; restore it from a backup or upload the recording again."


def trace_pack(recording: Recording) -> bytes:
    """Return a recording as bytes.

    Parameters
    ----------
    recording : Recording
        Times, channels of any number, and what was and was not used of the file.

    Returns
    -------
    bytes
        A mark, a check sum, the length of a JSON header, the header, and one block for each column, times first.

    Notes
    -----
    Recorders write few decimals. A column whose values are all whole numbers divided by a power of ten is kept as those
    whole numbers, but only where the division gives back every bit; its differences, spread by bytes, compress to a
    fraction of the floats'. Any other column is kept as floats, spread likewise. NaN is NaN again, with no other bits.
    """
    columns = [("", recording.trace.times), *recording.trace.channels.items()]
    packed = [_column_pack(np.ascontiguousarray(values, dtype="<f8")) for _, values in columns]
    header = {
        "rows": recording.trace.times.size,
        "columns": [[name, scale, len(block)] for (name, _), (scale, block) in zip(columns, packed, strict=True)],
        "matches": [[m.header, m.channel, m.unit] for m in recording.matches],
        "unused": list(recording.unused),
        "ignored": [[i.column, i.cells, i.example] for i in recording.ignored],
        "started_at": recording.started_at.isoformat() if recording.started_at else None,
    }
    text = json.dumps(header, separators=(",", ":")).encode()
    body = b"".join([len(text).to_bytes(4, "little"), text, *(block for _, block in packed)])
    return MAGIC + zlib.crc32(body).to_bytes(4, "little") + body


def trace_unpack(data: bytes) -> Recording:
    """Return the recording that was packed.

    Parameters
    ----------
    data : bytes
        What :func:`trace_pack` returned.

    Returns
    -------
    Recording
        Equal in every bit of its times and values.

    Raises
    ------
    TraceError
        If the bytes are damaged or of another kind.
    """
    body = memoryview(data)[len(MAGIC) + 4 :]
    if not data.startswith(MAGIC) or zlib.crc32(body).to_bytes(4, "little") != data[len(MAGIC) : len(MAGIC) + 4]:
        raise TraceError(DAMAGED, code="trace_damaged")
    at = 4 + int.from_bytes(body[:4], "little")
    header = json.loads(bytes(body[4:at]))
    columns: dict[str, Floats] = {}
    for name, scale, size in header["columns"]:
        columns[name] = _column_unpack(body[at : at + size], scale, header["rows"])
        at += size
    return Recording(
        trace=Trace(columns.pop(""), columns),
        matches=tuple(ColumnMatch(*match) for match in header["matches"]),
        unused=tuple(header["unused"]),
        ignored=tuple(Ignored(*ignored) for ignored in header["ignored"]),
        started_at=datetime.fromisoformat(header["started_at"]) if header["started_at"] else None,
    )


def _column_pack(values: Floats) -> tuple[int, bytes]:
    """Return the power of ten by which a column was scaled, or UNSCALED, and its block."""
    for scale in SCALES:
        whole = _whole(values, scale)
        if whole is not None:
            return scale, _spread(_folded(np.diff(whole, prepend=np.int64(0))))
    return UNSCALED, _spread(np.where(np.isnan(values), np.nan, values).view(np.uint64))


def _whole(values: Floats, scale: int) -> NDArray[np.int64] | None:
    """Return a column times a scale as whole numbers, NaN as LARGEST; None where that loses a bit."""
    is_missing = np.isnan(values)
    with np.errstate(over="ignore"):
        scaled = np.where(is_missing, 0.0, np.rint(values * scale))
    if not np.all(np.abs(scaled) < LARGEST):
        return None
    whole = scaled.astype(np.int64)
    is_same = is_missing | ((whole / scale).view(np.int64) == values.view(np.int64))
    return np.where(is_missing, LARGEST, whole) if is_same.all() else None


def _column_unpack(block: Any, scale: int, rows: int) -> Floats:
    spread = np.frombuffer(zlib.decompress(block), dtype=np.uint8).reshape(8, rows)
    words = np.ascontiguousarray(spread.T).reshape(-1).view("<u8")
    if scale == UNSCALED:
        return words.view("<f8")
    whole = np.cumsum(_unfolded(words), dtype=np.int64)
    return np.where(whole == LARGEST, np.nan, whole / scale)


def _folded(steps: NDArray[np.int64]) -> NDArray[np.uint64]:
    """Return signed steps as unsigned ones, small where the step is small either way."""
    return ((steps << 1) ^ (steps >> 63)).view(np.uint64)


def _unfolded(words: NDArray[np.uint64]) -> NDArray[np.int64]:
    return (words >> np.uint64(1)).view(np.int64) ^ -(words & np.uint64(1)).view(np.int64)


def _spread(words: NDArray[np.uint64]) -> bytes:
    """Return words compressed, all first bytes before all second ones."""
    spread = words.astype("<u8", copy=False).view(np.uint8).reshape(-1, 8).T
    return zlib.compress(spread.tobytes(), LEVEL)
