"""Which row of a recorded file each sample was read from."""

import io

import pandas as pd
import pytest

from engines.recordings import file_rows
from tests.engines.recorders import ENGINE_TYPE, read


def rows(content: bytes, samples: int, **changes: object) -> list[int] | None:
    return file_rows(io.BytesIO(content), ENGINE_TYPE, samples, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("time_s,itt\n0,650\n1,651\n", [2, 3]),
        ("Serial 7\n\ntime_s;itt\n0;650\n1;651\n2;652\n", [4, 5, 6]),
        ("time_s,itt\n0,650\n,651\n2,652\n", None),
    ],
)
def test_the_lines_of_a_text_file(text: str, expected: list[int] | None) -> None:
    samples = len(read(text.encode()).trace.times)
    assert rows(text.encode(), samples) == expected


def test_the_rows_of_parquet() -> None:
    out = io.BytesIO()
    pd.DataFrame({"time_s": [0.0, 1.0], "itt": [650.0, 651.0]}).to_parquet(out)
    assert rows(out.getvalue(), 2) == [1, 2]
    assert rows(out.getvalue(), 3) is None


def test_columns_named_by_hand_are_found_again() -> None:
    assert rows(b"time_s,T5\n0,650\n1,651\n", 2, columns={"itt": "T5"}) == [2, 3]
