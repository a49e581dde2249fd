"""How many floors, seeds or tries a test with chance in it takes: few in the suite, many times as many if asked.

LONGER=20 make test
"""

from __future__ import annotations

import os

LONGER = int(os.environ.get("LONGER", "1"))


def draws(few: int) -> int:
    """So many, or many times as many."""
    return few * LONGER
