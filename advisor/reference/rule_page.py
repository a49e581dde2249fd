"""One rule shown by itself: what it says and rests on, its neighbours, and example floors on both sides of its edge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRequest, Fault, nearest
from advisor.model.grounding import ground_one, judged
from advisor.model.knowledge import RuleBase
from advisor.model.plain_words import conclusion_words, condition_words, judged_words, sentence_words
from advisor.model.published import Part, Published
from advisor.model.rules import Rule
from advisor.reference.witness import Floors, Witness
from advisor.rulebase.bibliography import clause, source_id
from explanations.wording import label, listed, wording
from explanations.words import sentence, wrapped


class ConditionShown(Part):
    """One condition: as written, and in words."""

    fact: str
    asks: str
    words: str


class ConclusionShown(Part):
    """One conclusion, in words."""

    kind: str
    name: str
    words: str


class SourceShown(Part):
    """A source, and the part of it that the rule names."""

    source: str
    clause: str
    kind: str
    title: str
    edition: str
    seen: str


class Example(Part):
    """A floor on which the rule fires, and the one change after which it does not; all found by search."""

    finish: str
    facts: dict[str, str]
    because: str
    change: str  # the fact to change; empty where no single change stops the rule
    to: str
    instead: str  # for a rule that asks nothing of the floor: a finish, as like as can be, for which it does not fire


class RulePage(Published):
    """All that there is to know of one rule."""

    format: Literal["slab-finish-rule/1"] = "slab-finish-rule/1"
    rule: str
    topic: str
    laid_over: str  # the overlay that it comes from, if any
    says: str
    judges: str
    finishes: tuple[str, ...]
    when: tuple[ConditionShown, ...]
    then: tuple[ConclusionShown, ...]
    sources: tuple[SourceShown, ...]
    built_on: tuple[str, ...]  # rules that conclude a finding it needs
    feeds: tuple[str, ...]  # rules that need a finding it concludes
    beside: tuple[str, ...]  # other rules that conclude one of the same things
    example: Example | None


def find_rule(base: RuleBase, name: str) -> Rule:
    """The rule of that id.

    Raises:
        BadRequest: there is none; the nearest id is named.
    """
    if name in base.rules:
        return base.rules[name]
    hint = f"{nearest(name, base.rules)} {wording('reference.all_rules')}".strip()
    raise BadRequest([Fault("advisor rule", wording("reference.no_rule", name=name), remedy=hint)])


def rule_page(floors: Floors, name: str) -> RulePage:
    """The page of one rule.

    Args:
        floors: finds example floors in the rule base that the rule is of.
        name: the rule's id.

    Raises:
        BadRequest: there is no rule of that id.
    """
    base = floors.base
    rule = find_rule(base, name)
    forms = ground_one(base, rule)
    needed = {fact for fact in rule.when if fact in base.findings}
    others = [each for each in base.rules.values() if each.id != rule.id]
    return RulePage(
        rule=rule.id,
        topic=rule.topic,
        laid_over=next((o.name for o in reversed(base.overlays) if f"rules {name}" in (*o.added, *o.replaced)), ""),
        says=sentence_words(base, rule),
        judges=judged_words(base, rule),
        finishes=tuple(finish for finish in base.finishes if any(finish in form.finishes for form in forms)),
        when=tuple(
            ConditionShown(fact=fact, asks=text, words=condition_words(base, fact, text))
            for fact, texts in rule.when.items()
            for text in texts
        ),
        then=tuple(
            ConclusionShown(kind=kind, name=name, words=words) for kind, name, words in conclusion_words(base, rule)
        ),
        sources=tuple(source_shown(base, named) for named in rule.source),
        built_on=tuple(each.id for each in others if needed & set(each.then.finding)),
        feeds=tuple(each.id for each in others if set(rule.then.finding) & each.when.keys()),
        beside=tuple(each.id for each in others if concluded(rule) & concluded(each)),
        example=_example(floors.reasoner, rule, floors.witness(rule.id)),
    )


def concluded(rule: Rule) -> set[tuple[str, str]]:
    """What a rule concludes by name, ruling out and points aside: those are shared by half the rule base."""
    named = {
        "finding": rule.then.finding,
        "need": (*rule.then.first, *rule.then.hold),
        "caution": rule.then.caution,
        "refer": rule.then.refer,
    }
    return {(kind, name) for kind, names in named.items() for name in names}


def source_shown(base: RuleBase, named: str) -> SourceShown:
    """A source as a rule or a limit names it."""
    source = base.sources[source_id(named)]
    return SourceShown(
        source=source_id(named),
        clause=clause(named),
        kind=source.kind,
        title=source.title,
        edition=source.edition,
        seen=source.seen,
    )


def _example(reasoner: Reasoner, rule: Rule, witness: Witness | None) -> Example | None:
    if witness is None:
        return None
    return Example(
        finish=witness.finish,
        facts={name: value.shown for name, value in witness.given.items()},
        because=witness.because,
        change=witness.changed,
        to=witness.to.shown if witness.to else "",
        instead="" if witness.to else _other_finish(reasoner, rule, witness),
    )


def _other_finish(reasoner: Reasoner, rule: Rule, witness: Witness) -> str:
    """The finish that misses the fewest of the properties the rule judges by, and for which it does not fire."""
    base = reasoner.base
    asked = rule.judges if isinstance(rule.judges, dict) else {}
    meeting = [judged(base, rule.model_copy(update={"judges": {name: texts}})) for name, texts in asked.items()]
    _, trace = reasoner.reason(witness.given)
    fired = {firing.finish for firing in trace.firings if firing.rule == rule.id}
    others = [finish for finish in base.finishes.values() if finish.id not in fired]
    return max(others, key=lambda f: sum(f in some for some in meeting)).id if others else ""


def page_text(base: RuleBase, page: RulePage) -> str:
    """The page for reading, within 79 columns."""
    return "\n".join(_lines(base, page))


def _lines(base: RuleBase, page: RulePage) -> Iterator[str]:
    yield wording("reference.laid_over", rule=page.rule, name=page.laid_over) if page.laid_over else page.rule
    yield wrapped(page.says, "  ")
    yield from _section(wording("reference.judges"), [_judging(base, page)] if page.judges else [])
    yield from _section(wording("reference.when"), [f"{each.words} [{each.fact}: {each.asks}]" for each in page.when])
    yield from _section(wording("reference.then"), [each.words for each in page.then])
    yield from _section(wording("reference.sources"), [source_words(each) for each in page.sources])
    for title, rules in (
        (wording("reference.built_on"), page.built_on),
        (wording("reference.feeds"), page.feeds),
        (wording("reference.beside"), page.beside),
    ):
        yield from _section(title, [", ".join(rules)] if rules else [])
    yield from _example_lines(base, page)


def _judging(base: RuleBase, page: RulePage) -> str:
    if len(page.finishes) == len(base.finishes):
        return wording("reference.judges_all", which=page.judges, n=len(page.finishes))
    names, of = listed(base.finishes[finish].name for finish in page.finishes), len(base.finishes)
    return wording("reference.judges_some", which=page.judges, n=len(page.finishes), of=of, names=names)


def source_words(source: SourceShown) -> str:
    """A source in one line, as `ASTM F2170 (standard, 2019a, quoted), section 10 [astm_f2170]`."""
    details = ", ".join(
        part for part in (label("source_kind", source.kind), source.edition, label("seen", source.seen)) if part
    )
    return f"{source.title} ({details}){f', {source.clause}' if source.clause else ''} [{source.source}]"


def _example_lines(base: RuleBase, page: RulePage) -> Iterator[str]:
    example = page.example
    if example is None:
        yield from _section(wording("reference.example"), [wording("reference.no_example")])
        return
    judged_finish = base.finishes[example.finish].name if example.finish else ""
    fires = wording("reference.fires", about=(example.finish and "finish") or "floor", finish=judged_finish)
    facts = [f"{name}: {value}" for name, value in example.facts.items()]
    yield from _section(fires, facts or [wording("reference.nothing_known")])
    yield wrapped(f'"{sentence(example.because)}"', "    ")
    if example.change:
        yield from _section(wording("reference.not_with"), [f"{example.change}: {example.to}"])
    elif example.instead:
        yield from _section(wording("reference.not_for"), [base.finishes[example.instead].name])
    else:
        why = wording("reference.no_change") if page.when else wording("reference.fires_always")
        yield from _section(wording("reference.not"), [why])


def _section(title: str, items: Iterable[str]) -> Iterator[str]:
    for index, item in enumerate(items):
        if index == 0:
            yield f"\n{title}"
        yield wrapped(item, "  - ")
