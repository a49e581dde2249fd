"""The bibliography for reading: what rests on each source, and how much of the rule base or an answer on each kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field

from advisor.errors import BadRequest, Fault, nearest
from advisor.model.knowledge import RuleBase, Source
from advisor.model.published import Part, Published
from advisor.reference.seeking import holds
from advisor.rulebase.bibliography import (
    KINDS,
    Citation,
    bearing,
    by_kind,
    kinds_of_rules,
    kinds_of_values,
    number_of,
    shares,
)
from explanations.trace import Trace
from explanations.wording import label, listed, wording
from explanations.words import wrapped


class Bears(Part):
    """What rests on a source, and on which clause of it."""

    section: str
    entry: str
    part: str
    clause: str


class SourceListed(Source):
    """A source with all that rests on it."""

    bears: tuple[Bears, ...]


class SourceList(Published):
    """The bibliography as data: how many entries of each section rest on which kind, and each source."""

    format: Literal["slab-finish-sources/1"] = "slab-finish-sources/1"
    by_kind: dict[str, dict[str, int]]
    sources: dict[str, SourceListed]


class AnswerSources(Published):
    """How much of one answer rests on which kind of source."""

    format: Literal["slab-finish-sources-of-answer/1"] = "slab-finish-sources-of-answer/1"
    rules: dict[str, int] = Field(description="All rules that fired, by kind of source.")
    leading: str | None
    rules_about_leading_or_floor: dict[str, int]
    values: dict[str, int] = Field(description="Limits, properties and assumed facts that those rules compare.")


Sources = Annotated[SourceList | AnswerSources, Field(discriminator="format")]


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
                wording("reference.no_source", name=name),
                remedy=f"{nearest(name, base.sources)} {wording('reference.all_sources')}".strip(),
            )
            for name in unknown
        )
    chosen = names or sorted(base.sources, key=lambda name: list(KINDS).index(base.sources[name].kind))
    return {name: base.sources[name] for name in chosen}


def sources_holding(base: RuleBase, words: Iterable[str]) -> dict[str, Source]:
    """The sources that hold every word in their id, title, edition or kind, the strongest kinds first."""
    words = list(words)
    return {
        name: each
        for name, each in choose_sources(base, ()).items()
        if holds((name, each.title, each.edition, label("source_kind", each.kind)), words)
    }


def sources_record(base: RuleBase, names: Iterable[str]) -> SourceList:
    """What rests on each of these sources (all if none is named) as data."""
    chosen = choose_sources(base, names)
    resting = bearing(base)
    return SourceList(
        by_kind={section: dict(counts) for section, counts in by_kind(base).items()},
        sources={
            name: SourceListed(**source.model_dump(), bears=tuple(map(_bears, resting[name])))
            for name, source in chosen.items()
        },
    )


def _bears(citation: Citation) -> Bears:
    return Bears(section=citation.section, entry=citation.entry, part=citation.name, clause=citation.clause)


def sources_text(base: RuleBase, names: Iterable[str]) -> str:
    """The bibliography for reading; sources named are shown with all that rests on them."""
    names = list(names)
    chosen, resting = choose_sources(base, names), bearing(base)
    if names:
        return "\n\n".join("\n".join(_full(name, chosen[name], resting[name])) for name in chosen)
    return "\n".join(_overview(base, chosen, resting))


def _overview(base: RuleBase, chosen: Mapping[str, Source], resting: Mapping[str, list[Citation]]) -> Iterator[str]:
    yield _wrapped(wording("reference.rests_on"))
    for section, counts in by_kind(base).items():
        yield _wrapped(f"{number_of(section, counts.total())}: {shares(counts)}", "  ")
    kind = ""
    for name, source in chosen.items():
        if source.kind != kind:
            kind = source.kind
            yield f"\n{label('source_kind', kind).capitalize()}"
        yield _wrapped(f"{name}: {_described(source)}", "  ")
        yield _wrapped(_borne(resting[name]), "      ")


def _full(name: str, source: Source, citations: list[Citation]) -> Iterator[str]:
    yield name
    yield _wrapped(f"{_described(source)}; {label('source_kind', source.kind)}", "  ")
    yield _wrapped(_borne(citations), "  ")
    for citation in citations:
        yield _wrapped(f"{citation.section}: {citation.name}{f' ({citation.clause})' * bool(citation.clause)}", "    ")


def _described(source: Source) -> str:
    return ", ".join(part for part in (source.title, source.edition, label("seen", source.seen)) if part)


def _borne(citations: list[Citation]) -> str:
    counts = Counter(citation.section for citation in citations)
    return listed(number_of(section, number) for section, number in counts.items()) or wording(
        "reference.nothing_rests"
    )


def answer_record(base: RuleBase, trace: Trace, leading: str | None) -> AnswerSources:
    """How much of one answer rests on which kind of source, as data."""
    return AnswerSources(
        rules=dict(kinds_of_rules(base, trace)),
        leading=leading,
        rules_about_leading_or_floor=dict(kinds_of_rules(base, trace, leading)) if leading else {},
        values=dict(kinds_of_values(base, trace)),
    )


def answer_text(base: RuleBase, trace: Trace, leading: str | None) -> str:
    """The same for reading."""
    all_rules, values = kinds_of_rules(base, trace), kinds_of_values(base, trace)
    lines = [wording("reference.whole_answer", n=all_rules.total(), shares=shares(all_rules))]
    if leading:
        about = kinds_of_rules(base, trace, leading)
        name = base.finishes[leading].name
        lines.append(wording("reference.about_leading", finish=name, n=about.total(), shares=shares(about)))
    if values:
        lines.append(wording("reference.values_compared", n=values.total(), shares=shares(values)))
    lines.append(wording("reference.strongest"))
    return "\n".join(map(_wrapped, lines))


def _wrapped(text: str, indent: str = "") -> str:
    return wrapped(text, indent, f"{indent}  ")
