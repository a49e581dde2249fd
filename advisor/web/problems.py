"""Errors for programs: problem details (RFC 9457), which name each fault with fact, given, allowed, how to find out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from http import HTTPStatus
from typing import Any

from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.web.api_forms import Problem, Wrong
from advisor.web.asked import Reply
from explanations.wording import wording

API = "/api/v1"
KIND = "application/problem+json"
WRONG = f"{API}#wrong"  # the problem of a request that can be mended; all others are those of HTTP itself
OF_HTTP = "about:blank"  # RFC 9457, section 4.2.1


def for_programs(path: str) -> bool:
    """Whether an address is one of those for programs."""
    return path.startswith(f"{API}/")


def http_problem(status: int, detail: str) -> Reply:
    """A problem that HTTP's own status says."""
    return _reply(Problem(type=OF_HTTP, title=HTTPStatus(status).phrase, status=status, detail=detail))


def fault_problem(faults: Iterable[Fault], content: Mapping[str, Any], base: RuleBase) -> Reply:
    """A problem of what was sent, entry by entry.

    Args:
        faults: what is wrong.
        content: the request, for what was given.
        base: for how to find out what a fact is.
    """
    wrong = tuple(_wrong(each, content, base) for each in faults)
    title = wording("web_api.wrong")
    return _reply(Problem(type=WRONG, title=title, status=422, detail=" ".join(map(_in_short, wrong)), faults=wrong))


def _wrong(fault: Fault, content: Mapping[str, Any], base: RuleBase) -> Wrong:
    where = fault.where.removeprefix("--")
    kind = base.facts.get(where)
    return Wrong(
        where=where,
        says=fault.what,
        given=_given(where, content),
        allowed=fault.allowed,
        find_out=kind.find_out if kind else "",
        remedy=fault.remedy,
    )


def _given(where: str, content: Mapping[str, Any]) -> str:
    case = content.get("case")
    facts = case.get("facts") if isinstance(case, Mapping) else None
    for group in (content.get("say"), facts, content):
        if isinstance(group, Mapping) and where in group:
            found = group[where]
            said = found.get("is") if isinstance(found, Mapping) else found
            return said if isinstance(said, str) else ""
    return ""


def _in_short(wrong: Wrong) -> str:
    says = wrong.says.rstrip(".")
    return wording("web_api.at", where=wrong.where, says=says) if wrong.where else f"{says}."


def _reply(problem: Problem) -> Reply:
    return Reply(problem.model_dump_json(indent=2).encode(), problem.status, KIND)
