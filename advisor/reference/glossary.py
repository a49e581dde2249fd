"""The vocabulary for people: facts explained, and a blank case to fill in."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from textwrap import fill, indent

from advisor.errors import BadCase, Fault, nearest
from advisor.facts.case import describe_allowed
from advisor.facts.case_file import YAML
from advisor.model.knowledge import FactKind, RuleBase
from explanations.files import check_place, write_whole

WIDTH = 79


def explain_facts(base: RuleBase, names: Iterable[str]) -> str:
    """All facts, or those named, explained.

    Raises:
        BadCase: a name is not in the vocabulary.
    """
    names = list(names)
    if unknown := [name for name in names if name not in base.facts]:
        raise BadCase(
            Fault(
                "advisor facts",
                f'I do not know the fact "{name}"',
                remedy=f"{nearest(name, base.facts)} All facts: advisor facts".strip(),
            )
            for name in unknown
        )
    chosen = {name: base.facts[name] for name in names} or base.facts
    return "\n\n".join(f"{name}\n{_explain(kind)}" for name, kind in chosen.items())


def _explain(kind: FactKind) -> str:
    if kind.ask:
        lines = [
            kind.ask,
            f"Allowed: {describe_allowed(kind)}",
            f"How to find out: {kind.find_out}",
            f"Why: {kind.why}",
        ]
    else:
        lines = [f"Worked out, not asked: {kind.means}", f"Why: {kind.why}"]
    if kind.computed:
        lines.append(f"Worked out from: {', '.join(kind.computed.inputs)}")
    if kind.valid:
        lines.append(f"A dated result counts for {kind.valid.given}; older, it is taken as unknown")
    if kind.assume:
        lines.append(f"If not given: {kind.assume.given} is assumed ({kind.assume.note})")
    return "\n".join(fill(line, WIDTH, initial_indent="    ", subsequent_indent="      ") for line in lines)


def blank_case(base: RuleBase) -> str:
    """A case file with every fact that can be asked, each commented, all unknown."""
    head = (
        "# A blank case. Fill in what you know and leave the rest `unknown`: unknown is never taken for no.\n"
        "# Numbers carry their unit (4 in, 100 mm, 68 F); a range is `80 to 85 %`.\n"
        "# A test may say when and by whom: {is: 88 %, on: 2026-11-02, by: testing firm}.\n"
        "# Then: advisor advise THIS_FILE\n"
        "floor: \n"
        "note: \n"
        "facts:\n"
    )
    entries = [f"{indent(_comment(kind), '  ')}\n  {name}: unknown\n" for name, kind in base.facts.items() if kind.ask]
    return head + "\n".join(entries)


def _comment(kind: FactKind) -> str:
    lines = [kind.ask or "", f"How: {kind.find_out}", f"Allowed: {describe_allowed(kind)}"]
    if kind.assume:
        lines.append(f"Unknown is taken as {kind.assume.given}.")
    return "\n".join(fill(line, WIDTH, initial_indent="# ", subsequent_indent="#   ") for line in lines)


def write_blank_case(base: RuleBase, path: Path) -> None:
    """Write a blank case; an existing file is never overwritten.

    Raises:
        CannotWrite: the file exists, its ending is not YAML's, or it cannot be written.
    """
    check_place(path, YAML, new=True)
    write_whole(path, blank_case(base).encode())
