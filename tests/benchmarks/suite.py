"""Where the test suite's time goes: CPU seconds (children too) and peak memory of each test file, run by itself.

    python -m tests.benchmarks.suite [FILE ...]

CPU time, not the clock, so that the figures hold on a machine with other work. The dearest tests stand beneath, and
those with which a file's memory grew most.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
OUT = "CPU_TIMES"  # in the environment: the file to which the plugin below writes
DEAREST = 40


def spent() -> float:
    """CPU seconds of this process and of its children that have ended."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Note what a test took, with the fixtures made for it, and by how much the peak memory [MB] grew."""
    before, had = spent(), _peak()
    try:
        return (yield)
    finally:
        _write(f"{spent() - before:.2f}\t{_peak() - had}\t{item.nodeid}")


def pytest_unconfigure() -> None:
    """Note what the whole process took, and its peak memory [MB]."""
    _write(f"{spent():.2f}\t{_peak()}")


def _peak() -> int:
    """Of this process and the largest of its children that have ended [MB]."""
    return max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) // 1024


def _write(line: str) -> None:
    if place := os.environ.get(OUT):
        with Path(place).open("a", encoding="utf-8") as file:
            file.write(f"{line}\n")


def main(files: list[str]) -> None:
    out = ROOT / "out" / "cpu_times.tsv"
    out.parent.mkdir(exist_ok=True)
    found: list[tuple[float, str, str]] = []
    tests: list[tuple[float, int, str]] = []
    for file in files or sorted(str(path.relative_to(ROOT)) for path in (ROOT / "tests").rglob("test_*.py")):
        out.unlink(missing_ok=True)
        command = [sys.executable, "-m", "pytest", "-n", "0", "-q", "-p", "tests.benchmarks.suite", file]
        subprocess.run(command, cwd=ROOT, env={**os.environ, OUT: str(out)}, capture_output=True, check=False)
        *each, (seconds, peak) = (line.split("\t") for line in out.read_text(encoding="utf-8").splitlines())
        tests += [(float(took), int(grew), name) for took, grew, name in each]
        found.append((float(seconds), peak, file))
        print(f"{float(seconds):7.1f} s {peak:>6} MB  {file}", flush=True)
    print(f"\n{sum(seconds for seconds, _, _ in found):7.1f} s in all; the dearest tests:")
    for took, _, name in sorted(tests, reverse=True)[:DEAREST]:
        print(f"{took:7.1f} s  {name}")
    for _, grew, name in sorted(tests, key=lambda each: -each[1])[:DEAREST]:
        print(f"{grew:7} MB  {name}")


if __name__ == "__main__":
    main(sys.argv[1:])
