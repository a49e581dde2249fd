"""Demo cases, all invented, shipped inside the package so that an installed copy has them."""

from __future__ import annotations

from pathlib import Path

from advisor.errors import BadFile, Fault, nearest
from explanations.wording import wording

FOLDER = Path(__file__).parent


def demo_cases() -> dict[str, Path]:
    """The shipped demo cases by name."""
    return {path.stem: path for path in sorted(FOLDER.glob("*.yaml"))}


def find_case(named: Path) -> Path:
    """The file itself, or the demo case of that name.

    Raises:
        BadFile: neither exists.
    """
    cases = demo_cases()
    if named.exists() or named.suffix:
        return named
    if str(named) in cases:
        return cases[str(named)]
    known = ", ".join(cases)
    raise BadFile(
        [
            Fault(
                str(named),
                wording("cli.no_demo"),
                wording("cli.demo_cases", names=known),
                nearest(str(named), cases),
            )
        ]
    )
