"""Many overlays made by chance, each taken one held against answers on random floors: none may lose a safeguard."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from tests.validation.test_overlay_mutations import try_overlays

OVERLAYS, FLOORS, IN_A_RUN = 5_000, 7, 100


def main(overlays: int = OVERLAYS) -> None:
    """Try them in runs of a hundred, each with floors of its own, and tell how many were taken."""
    began, taken, refused = perf_counter(), 0, 0
    for seed in range(0, overlays, IN_A_RUN):
        with TemporaryDirectory() as folder:
            some = try_overlays(Path(folder), 1_000 + seed, min(IN_A_RUN, overlays - seed), FLOORS)
        taken, refused = taken + some[0], refused + some[1]
        print(f"{taken} taken, {refused} refused, nothing lost, {perf_counter() - began:.0f} s", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else OVERLAYS)
