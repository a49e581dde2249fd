"""Proving or refuting the claims of `rules/claims.yaml` for every floor, by the every-case reading.

Each kind of claim is one function that looks for a floor that breaks it. If z3 finds none, the claim is proved. What
it finds is made a real floor before it counts as a refutation; where only computed facts that no inputs tried
produce would break a claim, it is left open, and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from time import perf_counter

from advisor.engines.smt import EveryCase
from advisor.errors import BadRuleBase, Fault, nearest
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Claim
from advisor.rulebase.causes import as_causes
from advisor.validation.audit.alike import Alike
from advisor.validation.audit.one_floor import always, answers, in_sight, not_outright, one_answer, one_standing
from advisor.validation.audit.rule_set import no_dead_rule, no_gap_or_overlap, no_implied_rule
from advisor.validation.audit.search import Break, Finding, Outcome, Search
from advisor.validation.audit.two_floors import no_bolder_unknown, stays
from advisor.validation.audit.words import in_words, shown, tally
from advisor.validation.audit.work_steps import brought, worn
from advisor.validation.figures import with_figures_of
from explanations.wording import wording

__all__ = ["Break", "Finding", "all_claims", "audit", "check_names", "in_words", "refuse_broken", "shown", "tally"]


_KINDS: dict[str, Callable[[Search], None]] = {
    "always": always,
    "answers": answers,
    "in_sight": in_sight,
    "not_outright": not_outright,
    "one_answer": one_answer,
    "one_standing": one_standing,
    "stays": stays,
    "no_bolder_unknown": no_bolder_unknown,
    "no_dead_rule": no_dead_rule,
    "no_implied_rule": no_implied_rule,
    "no_gap_or_overlap": no_gap_or_overlap,
    "worn": worn,
    "brought": brought,
}


def audit(
    base: RuleBase, only: Iterable[str] = (), read_in: Sequence[RuleBase] = (), below: RuleBase | None = None
) -> Iterator[Finding]:
    """Prove or refute each claim of a rule base, one after the other; those about causes last.

    Args:
        base: the rule base, with whatever is laid over it.
        only: ids of claims; all if none is named.
        read_in: the rule bases whose limits and finishes the claims name; this one alone if left out.
        below: what it was laid over, of which its claims are proved: claims about the rules as a set, and about every
            finish, are not put to z3 again for what both conclude alike.
    """
    every = EveryCase(base)
    alike = Alike(EveryCase(below), every) if below is not None else None
    chosen = set(only) or base.claims.keys()
    for name, claim in base.claims.items():
        if name in chosen:
            proved = below is not None and below.claims.get(name) == claim
            yield _examine(name, Search(every, claim, read_in, alike if proved else None))
    about_causes = chosen & base.cause_claims.keys()
    if about_causes or (base.cause_claims and not only):
        beneath = as_causes(below) if below is not None else None
        yield from audit(as_causes(base), about_causes, [as_causes(each) for each in read_in], beneath)


def _examine(name: str, search: Search) -> Finding:
    began, every, claim = perf_counter(), search.every, search.claim
    _KINDS[claim.kind](search)
    outcome: Outcome = "proved"
    if search.breaks:
        outcome = "refuted" if any(each.real for each in search.breaks) else "open"
    free = tuple(sorted({n.split("@")[0] for n in {*every.vocabulary.left_free(search.facts), *search.free}}))
    breaks = tuple(sorted(search.breaks, key=lambda each: not each.real))
    return Finding(name, claim.says, outcome, breaks, search.questions, perf_counter() - began, free, search.held)


def refuse_broken(base: RuleBase, below: RuleBase | None = None) -> None:
    """Refuse a rule base that breaks a claim.

    Args:
        base: the rule base.
        below: what it was laid over. Its claims are held as they were meant there, with its limits and the kinds of
            its finishes, too; one that is not proved for it is not held against what lies above.

    Raises:
        BadRuleBase: with a floor for each claim that is broken.
    """
    read_in = (base, as_meant(base, below)) if below is not None else ()
    refuted = [finding for finding in audit(base, read_in=read_in, below=below) if finding.outcome == "refuted"]
    if refuted and below is not None:
        names = [finding.claim for finding in refuted if finding.claim in all_claims(below)]
        unproved = {finding.claim for finding in audit(below, names) if finding.outcome != "proved"} if names else set()
        refuted = [finding for finding in refuted if finding.claim not in unproved]
    faults = [
        Fault(
            wording("audit.claim", name=finding.claim),
            wording("audit.refused", says=finding.says, what=finding.breaks[0].what, floor=shown(finding.breaks[0])),
            remedy=wording("audit.mend"),
        )
        for finding in refuted
    ]
    if faults:
        raise BadRuleBase(faults)


def as_meant(base: RuleBase, below: RuleBase) -> RuleBase:
    """A rule base as claims of the one beneath it mean it: with the limits from there, and what kinds its finishes are.

    A finish's own figures are those above: another product may stand more.
    """
    finishes = {**base.finishes, **with_figures_of(below, base).finishes}
    return base.model_copy(update={"limits": {**base.limits, **below.limits}, "finishes": finishes})


def all_claims(base: RuleBase) -> dict[str, Claim]:
    """The claims about finishes, and those about causes."""
    return {**base.claims, **base.cause_claims}


def check_names(base: RuleBase, claims: Iterable[str]) -> None:
    """Refuse names that are no claims.

    Raises:
        BadRuleBase: naming each, and the nearest that there is.
    """
    faults = [
        Fault(name, wording("audit.no_claim"), ", ".join(all_claims(base)), nearest(name, all_claims(base)))
        for name in claims
        if name not in all_claims(base)
    ]
    if faults:
        raise BadRuleBase(faults)
