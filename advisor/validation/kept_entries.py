"""Which parts of an entry stand whatever is laid over it, and which may only grow: one table, and a few exceptions.

Words that protect people stand whole; what an overlay says to them goes into `adds`, and is shown after them, marked
as the shop's.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, field

from advisor.errors import Fault
from advisor.model.care import Care
from advisor.model.causes import Cause
from advisor.model.contradictions import Clash, asked
from advisor.model.entry import Entry
from advisor.model.grounding import judged
from advisor.model.knowledge import RuleBase, Source
from advisor.model.opening import Opening
from advisor.model.rules import SEVERITIES, Claim
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from advisor.rulebase.causes import as_causes
from advisor.validation.implied import implies
from advisor.validation.kept_questions import Found, lost_questions
from advisor.validation.read_by_formulas import read_by
from advisor.validation.safeguards import (
    facts_in,
    facts_of_work,
    guards,
    limits_in,
    limits_of,
    protected_rules,
)
from explanations.wording import listed, wording

Where = Callable[..., str]
WORDING = {"ask", "find_out", "means", "why", "adds"}  # of a fact; the rest decides what a rule makes of it


@dataclass(frozen=True)
class Kept:
    """What of an entry stays as it is, what may gain members in any order, and what may only be gone on with."""

    same: tuple[str, ...]
    members: tuple[str, ...] = ()
    begins: tuple[str, ...] = ()


KEPT = {
    "cautions": Kept(("title", "step", "says", "brief", "hangs_on"), ("source",), ("adds",)),
    "referrals": Kept(("who", "brief", "tell", "beyond", "leave"), ("source", "untouched"), ("adds",)),
    "needs": Kept(("kind", "asks", "says"), ("source", "untouched"), ("adds",)),
    "rules": Kept(("because", "protects"), ("source",), ("adds",)),
    "findings": Kept(("says", "of")),
    "facts": Kept(("ask", "find_out", "means", "why"), (), ("adds",)),
    "limits": Kept(("means",)),
    "sources": Kept(tuple(Source.model_fields)),
    "materials": Kept(("name", "unit", "kind", "once"), ("against", "brings")),
    "hire": Kept(("name",)),
    "tasks": Kept(("kind", "title", "says", "hard", "mistake"), ("cautions", "tools", "hire"), ("elsewhere", "adds")),
    "substances": Kept(("name", "molar_mass", "density", "lower_explosive"), ("source",), ("limits",)),
    "claims": Kept(tuple(Claim.model_fields)),
    "conversation": Kept(tuple(name for name in Opening.model_fields if name != "example")),
    "causes": Kept(tuple(name for name in Cause.model_fields if name not in ("source", "usual"))),
    "cause_rules": Kept(("judges", "when", "then")),
    "signs": Kept(("comes_to", "told_by", "told_in_advice")),
    "comes_first": Kept(("others", "free", "over")),
    "care": Kept(tuple(name for name in Care.model_fields if name not in ("uses", "source"))),
    "demands": Kept(("name", "experience", "practise")),
    "sheet": Kept(("type", "unit", "values", "range", "sets", "moves", "end", "guards", "instead_of"), ("brings",)),
    "not_now": Kept(("says",), ("source", "warned_of")),
    "due": Kept(("says", "clears", "finds"), ("source", "warned_of", "does")),
    "cause_claims": Kept(tuple(Claim.model_fields)),
}  # fmt: skip


@dataclass(frozen=True)
class _Protected:
    """The ids, by section, of the entries that the table holds for; and the facts that safeguards rest on."""

    base: RuleBase
    entries: dict[str, Collection[str]] = field(init=False)
    resting: set[str] = field(init=False)
    strictly: set[str] = field(init=False)

    def __post_init__(self) -> None:
        base = self.base
        guarding, both = protected_rules(base), {rule.id: rule for rule in protected_rules(base, guards)}
        strictly = facts_in(base, guarding) | facts_of_work(base)
        entries = {
            "cautions": base.cautions,
            "referrals": base.referrals,
            "needs": base.needs,
            "rules": both,
            "findings": {name for rule in both.values() for name in rule.when if name in base.findings},
            "facts": facts_in(base, guarding),
            "limits": {name for rule in both.values() for name in limits_of(rule)},
            "sources": base.sources,
            "materials": {
                name
                for name, each in base.materials.items()
                if each.kind == "protection" or each.against or each.brings
            },
            "hire": base.hire,
            "tasks": {name for name, each in base.tasks.items() if each.cautions},
            "substances": base.substances,
            "claims": base.claims,
            "conversation": base.conversation,
            "causes": {name for name, each in base.causes.items() if each.danger},
            "cause_rules": base.cause_rules,
            "signs": base.signs,
            "comes_first": base.comes_first.keys() & _guarded(base),
            "care": base.care,
            "demands": base.demands,
            "sheet": base.sheet,
            "not_now": base.not_now,
            "due": base.due,
            "cause_claims": base.cause_claims,
        }
        object.__setattr__(self, "entries", entries)
        object.__setattr__(self, "strictly", strictly)
        object.__setattr__(self, "resting", strictly | facts_in(base, both.values()))


def _guarded(base: RuleBase) -> set[str]:
    """The needs that hold the floor, or that rules which protect ask for first."""
    rules = base.rules.values()
    return {name for rule in rules for name in (*rule.then.hold, *(rule.then.first if rule.protects else ()))}


def lost_entries(below: RuleBase, above: RuleBase, where: Where) -> Iterator[Fault]:
    """What an overlay takes from entries that protect people, each with file and line of what took it."""
    protected = _Protected(below)
    found = (
        *_table(below, above, protected),
        *_graver(below, above),
        *_talked_down(below, above),
        *_facts(below, above, protected),
        *_contradictions(below, above, protected.resting),
        *lost_questions(below, above, protected.resting),
        *_hidden_causes(below, above),
        *_titles(below, above),
        *_figures(below, above, protected.strictly),
        *_ranges(below, above),
    )
    for section, name, what in found:
        yield Fault(where(section, name), what, remedy=wording("overlays.instead"))


def _table(below: RuleBase, above: RuleBase, protected: _Protected) -> Found:
    for section, kept in KEPT.items():
        for name in sorted(protected.entries[section]):
            before, now = getattr(below, section)[name], getattr(above, section)[name]
            if before == now:
                continue
            for part in (*kept.same, *kept.members, *kept.begins):
                if not _stands(before, now, part, kept):
                    key = "overlays.part_stands" if part in kept.same else "overlays.part_grows"
                    yield section, name, wording(key, entry=name, part=part)


def _stands(before: Entry, now: Entry, part: str, kept: Kept) -> bool:
    old, new = getattr(before, part), getattr(now, part)
    if part in kept.same:
        return bool(_plain(old) == _plain(new))
    if part in kept.members and isinstance(old, dict):
        return bool(old.items() <= new.items())
    if part in kept.members:
        return set(old) <= set(new)
    return bool(new[: len(old)] == old)


def _plain(value: object) -> object:
    return " ".join(value.split()) if isinstance(value, str) else value


def _graver(below: RuleBase, above: RuleBase) -> Found:
    """A caution may only become graver and be told at more length; what stops or decides goes on doing so."""
    for name, caution in below.cautions.items():
        now = above.cautions[name].severity
        if SEVERITIES.index(now) > SEVERITIES.index(caution.severity):
            yield "cautions", name, wording("overlays.milder", caution=name, before=caution.severity, now=now)
        if above.cautions[name].usual and not caution.usual:
            yield "cautions", name, wording("overlays.only_named", caution=name)
    for name, referral in below.referrals.items():
        if referral.stop and not above.referrals[name].stop:
            yield "referrals", name, wording("overlays.no_stop", referral=name)
    for name, need in below.needs.items():
        if need.decides and not above.needs[name].decides:
            yield "needs", name, wording("overlays.no_longer_decides", need=name)


def _talked_down(below: RuleBase, above: RuleBase) -> Found:
    """What is added to words that protect people does not say that they matter less, as far as its words show it."""
    talks_down = re.compile("|".join(wording("overlays.talking_down").split(", ")), re.IGNORECASE)
    for section in ("cautions", "referrals", "needs"):
        for name, now in getattr(above, section).items():
            before = getattr(below, section).get(name)
            for text in set(now.adds) - set(before.adds) if before else ():
                if said := talks_down.search(text):
                    yield section, name, wording("overlays.talks_down", entry=name, words=said[0])


def _facts(below: RuleBase, above: RuleBase, protected: _Protected) -> Found:
    """Facts that safeguards rest on are read as before; no fact takes fewer answers than it did."""
    for name, before in below.facts.items():
        now = above.facts[name]
        if name in protected.resting and (_bare(before) != _bare(now) or (before.ask is None) != (now.ask is None)):
            yield "facts", name, wording("overlays.fact_rests", fact=name)
        elif not _takes_as_much(before, now):
            yield "facts", name, wording("overlays.fact_takes_less", fact=name)


def _bare(kind: FactKind) -> dict[str, object]:
    return kind.model_dump(exclude=WORDING)


def _takes_as_much(before: FactKind, now: FactKind) -> bool:
    alike = (before.type, before.unit, before.of) == (now.type, now.unit, now.of)
    alike = alike and now.disturbs >= before.disturbs
    asked = before.ask is None or now.ask is not None
    return alike and asked and set(before.choices) <= set(now.choices) and _spans(now.plausible, before.plausible)


def _spans(wide: Interval, narrow: Interval) -> bool:
    return wide.low <= narrow.low and narrow.high <= wide.high


def _contradictions(below: RuleBase, above: RuleBase, resting: set[str]) -> Found:
    """None may refuse a floor that could be answered, nor set a fact aside that safeguards rest on."""
    for name, doubt in above.contradictions.items():
        earlier = below.contradictions.get(name)
        now, was = asked(above, doubt), asked(below, earlier) if earlier else None
        if earlier and not set(earlier.caution) <= set(doubt.caution):
            yield "contradictions", name, wording("overlays.doubt_hides", doubt=name)
        if earlier and was and bool(earlier.test) == bool(doubt.test) and _refuses_no_more(was, now, bool(doubt.test)):
            continue
        compared = [each for each in limits_in(doubt.when.values()) if below.limits.get(each) != above.limits[each]]
        section, entry = ("limits", compared[0]) if compared else ("contradictions", name)
        if aside := sorted({*now.facts, *(was.facts if was else ())} & resting):
            yield section, entry, wording("overlays.doubt_rests", doubt=name, facts=listed(aside))
        elif doubt.test is None and set(now.facts) <= below.facts.keys():
            yield section, entry, wording("overlays.refuses", doubt=name)


def _refuses_no_more(was: Clash, now: Clash, soft: bool) -> bool:
    """Whether a contradiction is as it was; a hard one may also refuse fewer floors than it did."""
    if soft or was == now:
        return was == now
    return implies(now.patterns, was.patterns) and set(was.between) <= set(now.between)


def _hidden_causes(below: RuleBase, above: RuleBase) -> Found:
    """No rule of one's own excludes, or speaks against, a cause that would hurt somebody if it were missed."""
    dangerous = {name for name, each in below.causes.items() if each.danger}
    own = above.cause_rules.keys() - below.cause_rules.keys()
    view = as_causes(above) if own else above
    for name in own:
        then = above.cause_rules[name].then
        if not then.rule_out and all(points > 0 for points in then.points.values()):
            continue
        if hidden := sorted(dangerous & {each.id for each in judged(view, view.rules[name])}):
            yield "cause_rules", name, wording("overlays.hides_cause", rule=name, causes=listed(hidden))
    for name, cause in below.causes.items():
        for part in ("not_now", "due", "does"):
            if not set(getattr(cause.remedy, part)) <= set(getattr(above.causes[name].remedy, part)):
                yield "causes", name, wording("overlays.part_grows", entry=name, part=f"remedy.{part}")


def _titles(below: RuleBase, above: RuleBase) -> Found:
    """A step that carries hazards is called as it was."""
    steps = [step for each in below.procedures.values() for step in each.steps]
    called = {(step.do, step.title) for step in steps}
    for name, procedure in above.procedures.items():
        for step in procedure.steps:
            warns = step.do in below.tasks and below.tasks[step.do].cautions
            if warns and step.title and (step.do, step.title) not in called:
                yield "procedures", name, wording("overlays.step_title", step=step.id, title=step.title)


def _figures(below: RuleBase, above: RuleBase, resting: Iterable[str]) -> Found:
    """Norms and properties that go into computed facts on which safeguards rest: which way is safe, nobody knows."""
    for section, name in sorted(read_by(below, (fact for fact in resting if below.facts[fact].computed))):
        if section == "norms":
            if below.norms[name].given != above.norms[name].given:
                yield "norms", name, wording("overlays.figure_rests", entry=name)
            continue
        for finish in below.finishes.values():
            if finish.properties[name].given != above.finishes[finish.id].properties[name].given:
                yield "finishes", finish.id, wording("overlays.figure_rests", entry=f"{name} of {finish.id}")


def _ranges(below: RuleBase, above: RuleBase) -> Found:
    """What a figure can plausibly be is said once, beneath; laid over, it may only be narrower."""
    for name, norm in below.norms.items():
        if above.norms[name].unit != norm.unit or not _spans(norm.plausible, above.norms[name].plausible):
            yield "norms", name, wording("overlays.out_of_range", entry=name, range=norm.range or norm.unit)
    for name, kind in below.properties.items():
        if (kind.type, kind.unit, kind.values, kind.range, kind.unlimited) != tuple(
            getattr(above.properties[name], part) for part in ("type", "unit", "values", "range", "unlimited")
        ):
            yield "properties", name, wording("overlays.property_stands", entry=name)
