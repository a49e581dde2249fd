"""Run every benchmark of this folder, each in a process of its own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

APART = {"parity", "faults"}  # longer than a coffee: `make bench-parity`, `python -m tests.benchmarks.faults`

for path in sorted(Path(__file__).parent.glob("[a-z]*.py")):
    if path.stem not in APART:
        print(f"\n=== {path.stem}", flush=True)
        subprocess.run([sys.executable, "-m", f"tests.benchmarks.{path.stem}"], check=True)
