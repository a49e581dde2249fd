"""A survey of 100,000 rows of which 12 % are set aside: seconds of CPU on one worker, and how many floors a second get
advice with cost and hours from the job model."""

from __future__ import annotations

import csv
import resource
import sys
import time
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from pyarrow import parquet

from advisor.survey.survey import survey

ROWS, BAD = 100_000, 0.12
HEADINGS = (
    *("floor", "country", "building_year", "room", "slab_position", "area [ft2]", "slab_thickness [in]"),
    *("slab_age [year]", "time_in_use [year]", "vapour_retarder", "slab_humidity [%]", "humidity_holes", "on_floor"),
    *("white_powder", "active_leak", "cracks", "vehicles", "foot_traffic", "oil_stains", "road_salt", "standing_water"),
    *("wanted_look", "hide_flaws", "who_works", "budget [USD]"),
)


def row(rng: Random, number: int) -> list[str]:
    """One floor as a shop's list would hold it; invented."""
    age = rng.randint(1, 60)
    one = rng.choice
    cells = [
        *(f"floor {number}", one(["united_states", "united_kingdom"]), str(2026 - age - rng.randint(0, 20))),
        *(one(["garage", "living_area", "basement_room"]), one(["on_ground", "below_ground"])),
        *(str(rng.randint(80, 4000)), one(["4", "5", "6"]), str(age), str(max(age - 1, 0)), one(["present", "absent"])),
        *(str(rng.randint(50, 99)), one(["3", "4"]), one(["bare", "paint", "carpet", ""]), one(["yes", "no"]), "no"),
        *(one(["none", "hairline", "moving"]), one(["none", "cars"]), one(["light", "normal"]), one(["none", "few"])),
        *(one(["never", "often"]), one(["never", "often"]), one(["solid_colour", "natural", "flecked"]), "yes"),
        *(one(["self", "hired"]), str(rng.randint(500, 20000))),
    ]
    if rng.random() < BAD:  # used for longer than it has been there: a contradiction between two facts
        cells[8] = str(age + rng.randint(3, 30))
    return cells


def main() -> None:
    """Write the table and time the survey."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else ROWS
    rng = Random(8)
    with TemporaryDirectory() as folder:
        table = Path(folder) / "floors.csv"
        with table.open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(HEADINGS)
            writer.writerows(row(rng, number) for number in range(rows))
        began = time.process_time()
        done = survey(table, Path(folder) / "out.parquet")
        spent = time.process_time() - began
        costed = parquet.read_table(done.out, columns=["cost_low"]).column(0)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{rows:,} rows, {done.bad_rows:,} set aside: {spent:.1f} s of CPU (asked: under 10 for 100,000), "
        f"{rows / spent:,.0f} rows a second; peak memory {peak:.0f} MB"
    )
    with_cost = len(costed) - costed.null_count
    print(
        f"{done.floors:,} floors, {with_cost:,} with cost and hours of the job that leads: "
        f"{with_cost / spent:,.0f} such floors a second (asked: 20,000)"
    )


if __name__ == "__main__":
    main()
