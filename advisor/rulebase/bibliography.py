"""What rests on which source: every pointer into `sources`, and how much of the rule base or of an answer each bears.

An entry that names several sources counts under the strongest of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from advisor.model.conditions import parse_condition
from advisor.model.entry import Entry
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Rule
from explanations.trace import Trace
from explanations.wording import label, wording
from explanations.words import blanks_in

# Strongest first, each with the group under which an answer counts it.
KINDS = {
    "regulation": "regulation",
    "standard": "regulation",
    "data_sheet": "data_sheet",
    "handbook": "handbook",
    "paper": "handbook",
    "trade_publication": "trade_publication",
    "common_practice": "common_practice",
    "from_memory": "from_memory",
}


@dataclass(frozen=True)
class Citation:
    """One pointer into the bibliography: from which entry (or part of one), to which clause of which source."""

    section: str
    entry: str
    part: tuple[str, ...]  # where in the entry, as `("properties", "film")`; empty for the entry itself
    source: str
    clause: str

    @property
    def name(self) -> str:
        """What rests on the source, as `epoxy_solid, humidity limit`."""
        words = [self.entry, *(label("part", each) for each in self.part if each != "properties")]
        return ", ".join(words)


def source_id(named: str) -> str:
    """The id in `astm_f710, section 5`.

    >>> source_id("astm_f710, section 5")
    'astm_f710'
    """
    return named.partition(",")[0].strip()


def clause(named: str) -> str:
    """The part of the source, if one is named.

    >>> clause("astm_f710, section 5"), clause("common_practice")
    ('section 5', '')
    """
    return named.partition(",")[2].strip()


def citations(base: RuleBase) -> Iterator[Citation]:
    """Every pointer into the bibliography, of every section, in the order of the rule base."""
    for section in RuleBase.model_fields:
        entries = getattr(base, section)
        if isinstance(entries, dict):
            for name, entry in ((name, entry) for name, entry in entries.items() if isinstance(entry, Entry)):
                yield from _within(entry, partial(Citation, section, name), ())


def _within(value: Entry, cite: partial[Citation], part: tuple[str, ...]) -> Iterator[Citation]:
    """The pointers of an entry and of the entries within it, alone, by name or in a row."""
    named = getattr(value, "source", ())
    for each in (named,) if isinstance(named, str) else named:
        yield cite(part, source_id(each), clause(each))
    for name, inner in value.__dict__.items():
        match inner:
            case Entry():
                yield from _within(inner, cite, (*part, name))
            case dict():
                for key, entry in inner.items():
                    if isinstance(entry, Entry):
                        yield from _within(entry, cite, (*part, name, str(key)))
            case tuple():
                for index, entry in enumerate(inner):
                    if isinstance(entry, Entry):
                        yield from _within(entry, cite, (*part, name, str(index)))


def bearing(base: RuleBase) -> dict[str, list[Citation]]:
    """What rests on each source, also on those that nothing rests on."""
    found: dict[str, list[Citation]] = {name: [] for name in base.sources}
    for citation in citations(base):
        found[citation.source].append(citation)
    return found


def strongest(base: RuleBase, sources: Iterable[str]) -> str:
    """The kind of the strongest of these sources."""
    return min((base.sources[source_id(each)].kind for each in sources), key=list(KINDS).index)


def by_kind(base: RuleBase) -> dict[str, Counter[str]]:
    """How many entries of each section rest on which kind of source."""
    sources: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for each in citations(base):
        sources.setdefault((each.section, each.entry, each.part), []).append(each.source)
    counts: dict[str, Counter[str]] = {}
    for (section, _, _), named in sources.items():
        counts.setdefault(section, Counter())[strongest(base, named)] += 1
    return counts


def shares(kinds: Mapping[str, int]) -> str:
    """The numbers by kind in words.

    >>> shares({"regulation": 2, "standard": 5, "common_practice": 5})
    '7 from regulations or standards, 5 common practice'
    """
    groups: Counter[str] = Counter()
    for kind, group in KINDS.items():
        groups[group] += kinds.get(kind, 0)
    return ", ".join(wording(f"bibliography.{group}", n=number) for group, number in groups.items() if number)


def number_of(section: str, number: int) -> str:
    """So many entries of a section, in words.

    >>> number_of("rules", 1), number_of("finishes", 2)
    ('1 rule', '2 values of finishes')
    """
    return wording(f"bibliography.section.{section}", n=number)


def kinds_of_rules(base: RuleBase, trace: Trace, finish: str | None = None) -> Counter[str]:
    """How many of the rules that fired rest on which kind; if a finish is named, those about it or the floor."""
    sources = {f.rule: f.sources for f in trace.firings if finish is None or f.finish in ("", finish)}
    return Counter(strongest(base, named) for named in sources.values())


def kinds_of_values(base: RuleBase, trace: Trace) -> Counter[str]:
    """How many limits, properties and assumed facts that the fired rules compare rest on which kind."""
    used: dict[str, Iterable[str]] = {}
    for firing in trace.firings:
        for operand in _operands(base.rules[firing.rule]):
            where, _, name = operand.partition(".")
            if where == "limit":
                used[operand] = base.limits[name].source
            elif name in base.properties:
                used[f"{firing.finish}.{name}"] = base.finishes[firing.finish].properties[name].source
    for fact in trace.facts:
        if fact.origin == "assumed" and (assumed := base.facts[fact.name].assume):
            used[fact.name] = (assumed.source,)
    return Counter(strongest(base, named) for named in used.values())


def _operands(rule: Rule) -> Iterator[str]:
    """The limits and properties that a rule's conditions and reason name."""
    judged = rule.judges if isinstance(rule.judges, dict) else {}
    yield from (f"finish.{name}" for name in judged)
    for texts in (*rule.when.values(), *judged.values()):
        yield from (operand for text in texts if (operand := parse_condition(text).operand))
    yield from (blank for blank in blanks_in(rule.because) if blank.startswith(("limit.", "finish.")))


def rests_on(base: RuleBase, trace: Trace) -> str:
    """One line: how many rules fired, by the strongest kind of source of each."""
    kinds = kinds_of_rules(base, trace)
    return wording("bibliography.rests_on", n=kinds.total(), shares=shares(kinds))
