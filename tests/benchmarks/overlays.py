"""Many overlays made by chance, each taken one held against answers on random floors: none may lose a safeguard."""

from __future__ import annotations

import sys
import traceback
from collections import Counter
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter

from tests.overlay_mutations import random_overlay
from tests.validation.test_overlay_mutations import Held

OVERLAYS, FLOORS, IN_A_RUN = 5_000, 7, 100


def main(overlays: int = OVERLAYS) -> None:
    """Try them in runs of a hundred, each with floors of its own, and tell how many were taken."""
    began, ended, faults = perf_counter(), Counter[bool](), 0
    for seed in range(0, overlays, IN_A_RUN):
        rng = Random(1_000 + seed)
        held = Held(rng, FLOORS)
        with TemporaryDirectory() as folder:
            for number in range(min(IN_A_RUN, overlays - seed)):
                overlay = random_overlay(rng)
                try:
                    ended[held.took(overlay, Path(folder) / f"shop{number}")] += 1
                except Exception:  # told, and the others are tried all the same
                    faults += 1
                    print(f"run {seed}, overlay {number}: {overlay}\n{traceback.format_exc()[-900:]}", flush=True)
        told = f"{ended[True]} taken, {ended[False]} refused, {faults} lost something or ended in a traceback"
        print(f"{told}, {perf_counter() - began:.0f} s", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else OVERLAYS)
