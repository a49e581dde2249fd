"""Odd cases, tables, interviews and command lines by the thousand, and surveys killed at any moment (long form of
`tests/cli/test_odd_input.py`): how many were answered, refused in words, and went wrong."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random
from shutil import rmtree
from tempfile import TemporaryDirectory

import pyarrow.parquet as pq

from advisor.validation.loading import load_rulebase
from tests.fault_trials import odd_cases, odd_commands, odd_interviews, odd_tables, tried

CASES, TABLES, INTERVIEWS, COMMANDS, KILLS = 100_000, 1_000, 200, 200, 1_000


def killed(folder: Path, rng: Random, count: int) -> tuple[int, int]:
    """Kill a survey at any moment, start it again until it ends: how often it was cut off, and results that differ.

    Args:
        folder: to work in.
        rng: when it is killed.
        count: how many kills.
    """
    table, out, whole = folder / "floors.csv", folder / "out.parquet", folder / "whole.parquet"
    rows = (f"{number},{number % 40 + 20} m2,{number % 30 + 65} %" for number in range(400))
    table.write_text("\n".join(("floor,area,slab_humidity", *rows, "bad,-1 m2,80 %")), encoding="utf-8")
    command = [sys.executable, "-m", "advisor", "survey", str(table), "--rows", "16", "--out"]
    subprocess.run([*command, str(whole)], check=True, capture_output=True)
    cut, differ = 0, 0
    while cut < count:
        process = subprocess.Popen([*command, str(out)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(rng.uniform(0.05, 2.5))
        os.kill(process.pid, signal.SIGKILL)
        cut += process.wait() == -signal.SIGKILL
        if out.exists():
            aside = out.with_suffix(".bad.csv").read_bytes() == whole.with_suffix(".bad.csv").read_bytes()
            differ += not (aside and pq.read_table(out).equals(pq.read_table(whole)))
            for each in folder.glob("out.*"):
                rmtree(each) if each.is_dir() else each.unlink()  # pieces stay where the result was just whole
    return cut, differ


def main(share: float = 1.0) -> None:
    """Try them all, or a share of them."""
    base = load_rulebase()
    with TemporaryDirectory() as within:
        folder = Path(within) / "odd"
        folder.mkdir()
        for name, some in (
            ("cases", odd_cases(base, folder, Random(11), int(CASES * share))),
            ("tables", odd_tables(base, folder, Random(12), int(TABLES * share))),
            ("interviews", odd_interviews(folder, Random(13), int(INTERVIEWS * share))),
            ("command lines", odd_commands(folder, Random(14), int(COMMANDS * share))),
        ):
            tally = tried(some)
            print(f"{name}: {dict(tally.ended)}, {len(tally.faults)} faults", flush=True)
            for fault in tally.faults[:5]:
                print(f"  {fault.tried}\n    {fault.how}", flush=True)
        cut, differ = killed(Path(within), Random(15), int(KILLS * share))
        print(f"surveys: killed {cut} times, {differ} results that differ from one made in one go", flush=True)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
