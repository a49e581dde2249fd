"""The vocabulary for people: facts explained, and a blank case to fill in."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from textwrap import indent

from advisor.errors import BadCase, Fault, nearest
from advisor.facts.case import describe_allowed
from advisor.facts.case_file import YAML
from advisor.facts.case_form import FORMAT
from advisor.model.knowledge import RuleBase
from advisor.model.vocabulary import FactKind
from explanations.files import check_place, write_whole
from explanations.wording import wording
from explanations.words import wrapped

MOST_BESIDE = 300  # characters of what may stand beside a fact; longer, `advisor facts` tells it


def known_facts(base: RuleBase, names: Iterable[str]) -> dict[str, FactKind]:
    """All facts, or those named, by name.

    Raises:
        BadCase: a name is not in the vocabulary.
    """
    names = list(names)
    if unknown := [name for name in names if name not in base.facts]:
        raise BadCase(
            Fault(
                "advisor facts",
                wording("facts.no_fact", name=name),
                remedy=f"{nearest(name, base.facts)} {wording('facts.all_facts')}".strip(),
            )
            for name in unknown
        )
    return {name: base.facts[name] for name in names or base.facts}


def explain_facts(base: RuleBase, names: Iterable[str]) -> str:
    """All facts, or those named, explained.

    Raises:
        BadCase: a name is not in the vocabulary.
    """
    return "\n\n".join(f"{name}\n{_explain(base, kind)}" for name, kind in known_facts(base, names).items())


def _explain(base: RuleBase, kind: FactKind) -> str:
    if kind.ask:
        lines = [
            kind.ask,
            wording("errors.allowed", what=describe_allowed(base, kind)),
            wording("facts.find_out", how=kind.find_out),
            wording("reference.why", why=kind.why),
        ]
    else:
        lines = [wording("reference.worked_out", what=kind.means), wording("reference.why", why=kind.why)]
    if kind.computed:
        lines.append(wording("reference.worked_out_from", facts=", ".join(kind.computed.inputs)))
    if kind.valid:
        lines.append(wording("reference.counts_for", time=kind.valid.given))
    if kind.assume:
        lines.append(wording("reference.assumed", value=kind.assume.given, note=kind.assume.note))
    return "\n".join(wrapped(line, "    ", "      ") for line in lines)


def blank_case(base: RuleBase) -> str:
    """A case file with every fact that can be asked, each commented, all unknown."""
    head = f"{indent(wording('reference.blank_case'), '# ')}\nformat: {FORMAT}\nfloor: \nnote: \nfacts:\n"
    asked = {name: kind for name, kind in base.facts.items() if kind.ask}
    entries = [f"{indent(_comment(base, kind), '  ')}\n  {name}: unknown\n" for name, kind in asked.items()]
    return head + "\n".join(entries)


def short_case(base: RuleBase) -> str:
    """A case file with the facts of the opening questions, by question, all unknown; what each may be beside it."""
    head = f"{indent(wording('reference.short_case'), '# ')}\nformat: {FORMAT}\nfloor: \nnote: \nfacts:\n"
    groups, told = [], set[str]()
    for opening in base.conversation.values():
        names = [name for name in opening.settles if name not in told]
        if not names:
            continue
        told.update(names)
        groups.append("\n".join([wrapped(opening.ask, "  # ", "  #   "), *(_line(base, name) for name in names)]))
    return head + "\n\n".join(groups) + "\n"


def _line(base: RuleBase, name: str) -> str:
    """A fact that is unknown, with what it may be; one of which that would say "sought in vain" is left out."""
    kind = base.facts[name]
    choices = wording("interview.yes_or_no") if kind.type == "yes/no" else ", ".join(kind.choices)
    may_be = describe_allowed(base, kind) if kind.type == "number" else choices
    mark = "# " if kind.unknown_means else ""
    return f"  {mark}{name}: unknown  # {may_be}" if len(may_be) < MOST_BESIDE else f"  {mark}{name}: unknown"


def _comment(base: RuleBase, kind: FactKind) -> str:
    lines = [
        kind.ask or "",
        wording("reference.how", how=kind.find_out),
        wording("errors.allowed", what=describe_allowed(base, kind)),
    ]
    if kind.assume:
        lines.append(wording("reference.unknown_as", value=kind.assume.given))
    return "\n".join(wrapped(line, "# ", "#   ") for line in lines)


def write_blank(text: str, path: Path) -> None:
    """Write a file to fill in; an existing file is never overwritten.

    Raises:
        CannotWrite: the file exists, its ending is not YAML's, or it cannot be written.
    """
    check_place(path, YAML, new=True)
    write_whole(path, text.encode())
