"""The bibliography for reading: what rests on each source, and how much of the rule base or an answer on each kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from textwrap import fill
from typing import Any

from advisor.errors import BadRequest, Fault, nearest
from advisor.model.knowledge import RuleBase, Source
from advisor.model.plain_words import plain
from advisor.rulebase.bibliography import (
    KINDS,
    NOUNS,
    Citation,
    bearing,
    by_kind,
    kinds_of_rules,
    kinds_of_values,
    shares,
)
from explanations.trace import Trace
from explanations.words import counted, listing

WIDTH = 79


def choose_sources(base: RuleBase, names: Iterable[str]) -> dict[str, Source]:
    """The sources named, or all, the strongest kinds first.

    Raises:
        BadRequest: a name is not in the bibliography; the nearest is named.
    """
    names = list(names)
    if unknown := [name for name in names if name not in base.sources]:
        raise BadRequest(
            Fault(
                "advisor sources",
                f'there is no source "{name}"',
                remedy=f"{nearest(name, base.sources)} All sources: advisor sources".strip(),
            )
            for name in unknown
        )
    chosen = names or sorted(base.sources, key=lambda name: list(KINDS).index(base.sources[name].kind))
    return {name: base.sources[name] for name in chosen}


def sources_data(base: RuleBase, names: Iterable[str]) -> dict[str, Any]:
    """What rests on each of these sources (all if none is named) as plain data."""
    chosen = choose_sources(base, names)
    resting = bearing(base)
    return {
        "by_kind": {section: dict(counts) for section, counts in by_kind(base).items()},
        "sources": {
            name: {
                **source.model_dump(),
                "bears": [
                    {"section": c.section, "entry": c.entry, "part": c.name, "clause": c.clause} for c in resting[name]
                ],
            }
            for name, source in chosen.items()
        },
    }


def sources_text(base: RuleBase, names: Iterable[str]) -> str:
    """The bibliography for reading; sources named are shown with all that rests on them."""
    names = list(names)
    chosen, resting = choose_sources(base, names), bearing(base)
    if names:
        return "\n\n".join("\n".join(_full(name, chosen[name], resting[name])) for name in chosen)
    return "\n".join(_overview(base, chosen, resting))


def _overview(base: RuleBase, chosen: Mapping[str, Source], resting: Mapping[str, list[Citation]]) -> Iterator[str]:
    yield _wrapped("What each part of the rule base rests on, by the strongest source that it names:")
    for section, counts in by_kind(base).items():
        yield _wrapped(f"{_number(section, counts.total())}: {shares(counts)}", "  ")
    kind = ""
    for name, source in chosen.items():
        if source.kind != kind:
            kind = source.kind
            yield f"\n{plain(kind).capitalize()}"
        yield _wrapped(f"{name}: {_described(source)}", "  ")
        yield _wrapped(_borne(resting[name]) or "nothing rests on it", "      ")


def _full(name: str, source: Source, citations: list[Citation]) -> Iterator[str]:
    yield name
    yield _wrapped(f"{_described(source)}; {plain(source.kind)}", "  ")
    yield _wrapped(_borne(citations) or "nothing rests on it", "  ")
    for citation in citations:
        yield _wrapped(f"{citation.section}: {citation.name}{f' ({citation.clause})' * bool(citation.clause)}", "    ")


def _described(source: Source) -> str:
    return ", ".join(part for part in (source.title, source.edition, source.seen) if part)


def _borne(citations: list[Citation]) -> str:
    counts = Counter(citation.section for citation in citations)
    return listing(_number(section, number) for section, number in counts.items())


def _number(section: str, number: int) -> str:
    return counted(number, *NOUNS.get(section, (f"entry of {section}", f"entries of {section}")))


def answer_data(base: RuleBase, trace: Trace, leading: str | None) -> dict[str, Any]:
    """How much of one answer rests on which kind: rules, those about the leading finish, and values compared with."""
    return {
        "rules": dict(kinds_of_rules(base, trace)),
        "leading": leading,
        "rules_about_leading_or_floor": dict(kinds_of_rules(base, trace, leading)) if leading else {},
        "values": dict(kinds_of_values(base, trace)),
    }


def answer_text(base: RuleBase, trace: Trace, leading: str | None) -> str:
    """The same for reading."""
    all_rules, values = kinds_of_rules(base, trace), kinds_of_values(base, trace)
    lines = [f"The whole answer: {counted(all_rules.total(), 'rule')}: {shares(all_rules)}."]
    if leading:
        about = kinds_of_rules(base, trace, leading)
        name = base.finishes[leading].name
        lines.append(f"About the floor and {name}: {counted(about.total(), 'rule')}: {shares(about)}.")
    if values:
        noun = counted(values.total(), "value")
        lines.append(f"Limits, properties and assumed facts they compare with: {noun}: {shares(values)}.")
    lines.append("An entry counts under the strongest source that it names.")
    return "\n".join(map(_wrapped, lines))


def _wrapped(text: str, indent: str = "") -> str:
    return fill(text, WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  ", break_long_words=False)
