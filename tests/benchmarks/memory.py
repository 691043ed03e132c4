"""Run by the benchmark in a process of its own: how much memory reading and judging a file takes at its peak."""

import sys
from pathlib import Path

from engines.recordings import recording_read
from inspections.exceedance import judge
from tests.benchmarks.reading import large_type

MEGABYTE = 1e6
KERNEL_KB = 1024


def status(name: str) -> float:
    """Return a figure that the kernel keeps of this process. [MB]"""
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) * KERNEL_KB / MEGABYTE for line in lines if line.startswith(name))


def main(path: str) -> None:
    """Print the growth to the peak, and the size of the parsed arrays. [MB]"""
    engine_type = large_type()
    before = status("VmRSS")
    recording = recording_read(path, engine_type)
    judge(recording, engine_type)
    arrays = sum(values.nbytes for values in (recording.trace.times, *recording.trace.channels.values()))
    print(status("VmHWM") - before, arrays / MEGABYTE)


if __name__ == "__main__":
    main(sys.argv[1])
