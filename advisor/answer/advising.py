"""From standings to advice: which answer is given, and everything that must be said with it.

What to ask next, and how certain the answer is, is added by `advisor.asking.advice`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from advisor.answer.asked_about import asked_about
from advisor.answer.bearing import bearings, importance_alone, leading_so_far
from advisor.answer.hazards import hazards, work_steps
from advisor.answer.judging import judge_of
from advisor.answer.kind_words import asking, recommending, waiting
from advisor.answer.ranking import DECIDING, WORKING, Standing, best_unweighed, by_kind, standings, weights
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.setting_aside import SetAside
from advisor.model.advice import Advice, Answer, Asked, OverlayMark, Referred, RuleBaseMark, SourceUse, Unused
from advisor.model.bearing import TieBreak, Weighed
from advisor.model.knowledge import RuleBase
from advisor.model.rules import NeedKind
from advisor.model.standing import BySheet, FinishStanding, Points, Reason, SheetNumber, ToDo
from advisor.model.values import Value
from advisor.rulebase.bibliography import rests_on, source_id
from explanations.trace import Firing, Trace
from explanations.wording import label, listed, wording
from explanations.words import sentence


def conclude(
    reasoner: Reasoner, case: Case, today: date | None = None, like: Mapping[str, Value] | None = None
) -> Advice:
    """Reason about a case and put the answer together, as yet without questions.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        today: the date to put on the answer; the current one if not given.
        like: its working memory, or that of a floor that differs little; it saves working out what is the same.
    """
    base = reasoner.base
    memory, trace = reasoner.reason(case.facts, like)
    ranked = standings(base, memory, trace)
    referred = _referrals(base, trace)
    stops = tuple(each for each in referred if each.stop)
    holds = _holds(base, trace)
    weight, judge = weights(base, memory), judge_of(reasoner)
    standing = tuple(_finish(base, each, place, weight) for place, each in enumerate(ranked, start=1))
    answer = _answer(base, ranked, stops, holds)
    asked = asked_about(memory, answer, standing, stops, holds)
    return Advice(
        floor=case.floor,
        note=case.note,
        date=(today or date.today()).isoformat(),
        rule_base=mark(base),
        answer=answer.model_copy(update={"asked": asked}) if asked else answer,
        set_aside=tuple(_unused(each) for each in case.set_aside),
        stops=stops,
        holds=holds,
        hazards=hazards(base, memory, trace, case.set_aside, [s.finish for s in ranked if s.verdict != "ruled out"]),
        referrals=tuple(each for each in referred if not each.stop),
        standings=standing,
        steps=work_steps(base, memory, answer.leading) if answer.leading else (),
        weighed=_weighed(reasoner, memory),
        tie_broken_by=broken_by(*standing[:2]) if len(standing) > 1 else "",
        bearing=bearings(judge, memory, trace, ranked),
        leads_by=leading_so_far(judge, memory, trace, ranked) if stops or holds else (),
        leads_unweighed=best_unweighed(base, ranked),
        sources=_sources(base, trace),
        rests_on=rests_on(base, trace),
        trace=trace,
    )


def answer_alone(
    reasoner: Reasoner, facts: Mapping[str, Value], like: Mapping[str, Value] | None = None
) -> tuple[Answer, list[Standing]]:
    """The answer and the standings, best first, without what an advice says beside them.

    Args:
        reasoner: a rule base made ready.
        facts: that the floor states.
        like: the working memory of a floor that differs little; it saves working out what is the same.
    """
    base = reasoner.base
    memory, trace = reasoner.reason(facts, like)
    ranked = standings(base, memory, trace)
    stops = tuple(each for each in _referrals(base, trace) if each.stop)
    return _answer(base, ranked, stops, _holds(base, trace)), ranked


def _weighed(reasoner: Reasoner, memory: Mapping[str, Value]) -> tuple[Weighed, ...]:
    """What the customer said matters more or less than usual, and whether that alone turns the answer."""
    base = reasoner.base
    said = {name: memory[each.importance] for name, each in base.criteria.items() if each.importance}
    weighed = {name: value.choice for name, value in said.items() if value.known and value.choice != "normal"}
    alone = importance_alone(judge_of(reasoner), memory, list(weighed)) if weighed else {}
    return tuple(
        Weighed(
            criterion=name,
            importance=importance,
            alone=name in alone,
            otherwise=alone[name].finish or None if name in alone else None,
        )
        for name, importance in weighed.items()
    )


def mark(base: RuleBase) -> RuleBaseMark:
    """Which rule base answers, and what was laid over it."""
    return RuleBaseMark(
        version=base.version,
        fingerprint=base.fingerprint,
        rules=len(base.rules),
        overlays=tuple(OverlayMark(**each.model_dump()) for each in base.overlays),
        products=tuple(each.name for each in base.products),
    )


def broken_by(one: FinishStanding, other: FinishStanding) -> TieBreak:
    """What puts one of two finishes first that have the same points; nothing where they have not, or one is out."""
    if "ruled out" in (one.verdict, other.verdict) or one.total != other.total:
        return ""
    return "conditions" if len(one.first) != len(other.first) else "order"


def _answer(base: RuleBase, ranked: list[Standing], stops: tuple[Referred, ...], holds: tuple[ToDo, ...]) -> Answer:
    left = [standing for standing in ranked if standing.verdict != "ruled out"]
    best = left[0] if left else None
    deciding = _deciding(base, best) if best else ()
    kinds = by_kind(
        1,
        stops=int(bool(stops)),
        holds=int(any(hold.kind != "ask" for hold in holds)),
        asks=int(any(hold.kind == "ask" for hold in holds)),
        nothing_left=int(best is None),
        waits=int(bool(deciding)),
    )
    kind = next(kind for kind, so in kinds.items() if so)
    ready = next((s for s in left if not _deciding(base, s)), None) if deciding else None
    fallback = ready.finish if ready else None
    name = base.finishes[best.finish].name if best else ""
    match kind:
        case "professional":
            text = wording("answer.call", who=listed(stop.who for stop in stops))
        case "ask first":
            text = asking({hold.need: hold.says for hold in holds})
        case "none yet" if holds:
            text = wording("answer.none_yet", first=listed(label("need", hold.need) for hold in holds))
        case "none yet":
            text = wording("answer.none_suits")
        case "test first":
            text = waiting(deciding, name, *((base.finishes[ready.finish].name, ready.total < 0) if ready else ()))
        case "finish":
            assert best is not None
            text = recommending(name, best.total < 0, best.verdict == "suits if")
    return Answer(
        kind=kind,
        sentence=sentence(text),
        waits_for=() if stops else deciding if kind == "test first" else tuple(hold.kind for hold in holds),
        finish=best.finish if best and kind == "finish" else None,
        leading=best.finish if best else None,
        runner_up=left[1].finish if len(left) > 1 else None,
        fallback=fallback,
        tied=tuple(s.finish for s in left[1:] if best and s.total == best.total),
        asks=tuple(
            Asked(need=hold.need, fact=base.needs[hold.need].asks or "") for hold in holds if kind == "ask first"
        ),
    )


def _deciding(base: RuleBase, standing: Standing) -> tuple[NeedKind, ...]:
    """The kinds of the needs that a finish waits for, one each."""
    kinds = [base.needs[need].kind for need in standing.conditions if base.needs[need].decides]
    return tuple(sorted(kinds, key=DECIDING.index))


def _reason(firing: Firing) -> Reason:
    return Reason(rule=firing.rule, because=firing.because)


def _reasons(firings: Iterable[Firing]) -> tuple[Reason, ...]:
    return tuple(dict.fromkeys(_reason(firing) for firing in firings))


def _concluding(trace: Trace, kind: str) -> dict[str, list[Firing]]:
    """The firings that conclude something of a kind, by its name."""
    found: dict[str, list[Firing]] = {}
    for firing in trace.firings:
        for conclusion in firing.conclusions:
            if conclusion.kind == kind:
                found.setdefault(conclusion.name, []).append(firing)
    return found


def _to_do(base: RuleBase, need: str, firings: Iterable[Firing]) -> ToDo:
    entry = base.needs[need]
    return ToDo(
        need=need,
        kind=entry.kind,
        decides=entry.decides,
        says=sentence(entry.says),
        reasons=_reasons(firings),
    )


def _holds(base: RuleBase, trace: Trace) -> tuple[ToDo, ...]:
    return tuple(_to_do(base, need, firings) for need, firings in _concluding(trace, "hold").items())


def _referrals(base: RuleBase, trace: Trace) -> tuple[Referred, ...]:
    """Whom to call; first those for whom everybody leaves."""
    found = (
        Referred(
            referral=name,
            who=base.referrals[name].who,
            brief=base.referrals[name].brief or base.referrals[name].who,
            stop=base.referrals[name].stop,
            beyond=base.referrals[name].beyond,
            leave=base.referrals[name].leave,
            tell=sentence(base.referrals[name].tell),
            reasons=_reasons(firings),
        )
        for name, firings in _concluding(trace, "refer").items()
    )
    return tuple(sorted(found, key=lambda each: not each.leave))


def _urgency(to_do: ToDo) -> tuple[bool, int]:
    """What decides comes first, then in the order in which work on a floor goes; who waits first measures after it."""
    return not to_do.decides, (DECIDING if to_do.decides else WORKING).index(to_do.kind)


def _finish(base: RuleBase, standing: Standing, place: int, weight: Mapping[str, int]) -> FinishStanding:
    return FinishStanding(
        finish=standing.finish,
        name=base.finishes[standing.finish].name,
        verdict=standing.verdict,
        rank=None if standing.verdict == "ruled out" else place,
        total=standing.total,
        ruled_out_by=_reasons(standing.ruled_out_by),
        first=tuple(sorted((_to_do(base, *each) for each in standing.conditions.items()), key=_urgency)),
        points=tuple(
            Points(
                rule=award.rule,
                because=award.because,
                criterion=award.criterion,
                points=award.points,
                weighted=award.points * weight[award.criterion],
            )
            for award in standing.awards
        ),
        by_sheet=by_sheet(base, standing.finish),
    )


def by_sheet(base: RuleBase, finish: str) -> BySheet | None:
    """What the maker's sheet says of a finish that is judged by one."""
    if (product := base.product(finish)) is None:
        return None
    numbers = (
        SheetNumber(means=base.sheet[each.entry].means, given=each.given, default=each.default)
        for each in product.numbers
    )
    return BySheet(product=product.name, like=base.finishes[product.like].name, numbers=tuple(numbers))


def _unused(aside: SetAside) -> Unused:
    return Unused(
        facts=aside.facts,
        says=sentence(aside.says),
        explanations=tuple(sentence(each) for each in aside.explanations),
        test=sentence(aside.test),
    )


def _sources(base: RuleBase, trace: Trace) -> tuple[SourceUse, ...]:
    rules: dict[str, dict[str, None]] = {}
    for firing in trace.firings:
        for named in firing.sources:
            rules.setdefault(source_id(named), {})[firing.rule] = None
    return tuple(
        SourceUse(
            source=name,
            kind=source.kind,
            title=source.title,
            edition=source.edition,
            seen=source.seen,
            rules=tuple(rules[name]),
        )
        for name, source in base.sources.items()
        if name in rules
    )
