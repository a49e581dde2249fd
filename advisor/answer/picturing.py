"""From an advice to its explanation graph, its views and its picture."""

from __future__ import annotations

from pathlib import Path

from advisor.answer.kind_words import in_short, outlook
from advisor.model.advice import Advice
from advisor.model.bearing import Bearing as Bears
from advisor.model.bearing import FactBearing, Weighed
from advisor.model.knowledge import RuleBase
from explanations.errors import CannotExplain
from explanations.graph import Alone, Bearing, Graph, Matters, Outcome, Verdict, explanation_graph
from explanations.views import besides, finish_gist, gist, leading_part, one_finish, proof, without_sources
from explanations.wording import label, wording


def outcome_of(advice: Advice, base: RuleBase) -> Outcome:
    """What the advice's trace came to, in words."""
    texts = {name: need.says for name, need in base.needs.items()}
    texts |= {name: caution.says for name, caution in base.cautions.items()}
    texts |= {name: f"{each.who}: {each.tell}" for name, each in base.referrals.items()}
    leads_by = advice.leads_by if advice.stops or advice.holds else advice.bearing
    return Outcome(
        answer=advice.opening,
        kind=advice.answer.kind,
        short=advice.opening
        if advice.answer.kind == "finish"
        else in_short(advice.answer, advice.leading.name if advice.leading else ""),
        leading=advice.answer.leading,
        verdicts={
            s.finish: Verdict(s.name, s.verdict, s.total, s.rank, tuple(each.need for each in s.first))
            for s in advice.standings
        },
        texts=texts,
        sources={name: source.title for name, source in base.sources.items()},
        importance={name: criterion.importance for name, criterion in base.criteria.items()},
        weights={
            each.criterion: each.weighted // each.points
            for standing in advice.standings
            for each in standing.points
            if each.points
        },
        deciding=frozenset(name for name, need in base.needs.items() if need.decides),
        bearing=tuple(_bearing(each, base) for each in advice.bearing),
        leads_by=tuple(_bearing(each, base) for each in leads_by if each.puts_ahead(advice.answer.leading)),
        tie=advice.tie_broken_by,
        matters=tuple(_matters(each, advice, base) for each in advice.weighed if each.alone),
        alone=tuple(
            Alone(each.fact, each.values, each.stated, each.cost, _another(each, advice)) for each in advice.turns_alone
        ),
    )


def _bearing(each: Bears, base: RuleBase) -> Bearing:
    return Bearing(
        each.rule,
        each.finish,
        each.bears,
        each.others,
        each.points,
        each.over or "",
        outlook(each.to, base.finishes[each.to_finish].name if each.to_finish else ""),
    )


def _matters(each: Weighed, advice: Advice, base: RuleBase) -> Matters:
    other = advice.standing(each.otherwise)
    given = {"what": label("criterion", each.criterion), "importance": each.importance}
    because = wording("answer.matters", leads=other.name if other else "none", **given)
    return Matters(base.criteria[each.criterion].importance, because)


def _another(each: FactBearing, advice: Advice) -> bool:
    """Whether some value of the fact alone puts another finish first."""
    named = {finish for to in each.to for _, _, finish in [to.partition(": ")] if finish}
    return bool(named - {advice.answer.leading})


def advice_graph(advice: Advice, base: RuleBase) -> Graph[str]:
    """The whole explanation graph of an advice."""
    return explanation_graph(advice.trace, outcome_of(advice, base))


def view(graph: Graph[str], advice: Advice, depth: str, finish: str | None = None, least: bool = False) -> Graph[str]:
    """The part of the graph to be shown; sources only where everything or one finish is asked for.

    Args:
        graph: the whole graph.
        advice: what it explains.
        depth: gist, besides (what else is wrong), answer or everything.
        finish: the finish to show instead, to the same depth.
        least: of a finish that is ruled out only one proof of that, the shortest.

    Raises:
        CannotExplain: there is no such depth.
    """
    if finish is not None and least and f"out:@{finish}" in graph:
        return proof(graph, f"out:@{finish}")
    if depth == "gist":
        return finish_gist(graph, finish) if finish else gist(graph)
    if depth in ("answer", "everything") and finish is not None:
        verdict = one_finish(graph, finish, depth == "everything")
        return verdict if depth == "everything" else without_sources(verdict)
    if depth == "besides" and finish is None:
        return besides(graph)
    if depth == "answer":
        return without_sources(leading_part(graph, advice.answer.leading))
    if depth == "everything":
        return graph
    raise CannotExplain(wording("answer.no_depth", depth=depth))


def draw_advice(advice: Advice, base: RuleBase, path: Path) -> None:
    """Draw what carries the answer, in the format of the file's ending."""
    from explanations.pictures import draw

    draw(view(advice_graph(advice, base), advice, "answer"), wording("answer.why", floor=advice.floor), path)
