"""The explanation picture of an advice: what carries the leading finish, and why each other one fell."""

from __future__ import annotations

from pathlib import Path

import networkx as nx

from advisor.advice import Advice
from explanations.graph import ANSWER, Verdict, carrying, explanation_graph
from explanations.pictures import draw


def advice_graph(advice: Advice) -> nx.DiGraph[str]:
    """The whole explanation graph of an advice."""
    verdicts = {standing.finish: Verdict(standing.name, standing.verdict) for standing in advice.standings}
    return explanation_graph(advice.trace, verdicts, advice.answer.sentence)


def leading_graph(advice: Advice) -> nx.DiGraph[str]:
    """What carries the answer: stops, holds and hazards of the floor, and all about the leading finish."""
    graph = advice_graph(advice)
    leading = advice.answer.leading
    others = {f"standing:{standing.finish}" for standing in advice.standings if standing.finish != leading}
    graph.remove_nodes_from(others)
    return carrying(graph, [ANSWER])


def draw_advice(advice: Advice, path: Path) -> None:
    """Draw what carries the answer, in the format of the file's ending."""
    draw(leading_graph(advice), f"Why: {advice.floor}", path)
