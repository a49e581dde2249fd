"""Which cases change their answer between two rule bases, and in what."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from advisor.asking.advice import advise
from advisor.engines.reasoning import Reasoner
from advisor.errors import AdvisorError, BadCase, BadFile, Fault
from advisor.facts.case import read_case
from advisor.model.advice import Advice
from advisor.model.knowledge import RuleBase
from advisor.model.published import Published
from explanations.wording import wording

ENDINGS = (".yaml", ".yml", ".json", ".toml")


@dataclass(frozen=True)
class Change:
    """One case under two rule bases: what differs, in words; empty if nothing does."""

    case: str
    answer: bool  # whether the answer itself is another
    differences: tuple[str, ...]


class Diff(Published):
    """What differs, case by case, as data."""

    format: Literal["slab-finish-diff/1"] = "slab-finish-diff/1"
    cases: tuple[Change, ...]


def case_files(paths: Iterable[Path]) -> list[Path]:
    """The case files among files and folders, in order of name.

    Raises:
        BadFile: a path is not there, or no case is in it.
    """
    found: list[Path] = []
    for path in paths:
        inside = sorted(p for p in path.rglob("*") if p.suffix in ENDINGS) if path.is_dir() else [path]
        if not inside or not inside[0].is_file():
            raise BadFile([Fault(str(path), wording("diff.no_case"), wording("diff.case_files"))])
        found += inside
    return found


def compare(old: RuleBase, new: RuleBase, cases: Iterable[Path]) -> Iterator[Change]:
    """Advise on each case under both rule bases.

    A case that one of them refuses (it lacks a fact, say) counts as changed, with the refusal in words; one that
    both refuse is no case.

    Args:
        old: one rule base.
        new: the other.
        cases: case files.
    """
    before, after = Reasoner(old), Reasoner(new)
    for path in cases:
        one, other = _advice(before, path), _advice(after, path)
        if isinstance(one, str) and isinstance(other, str):
            raise BadCase([Fault(str(path), wording("diff.neither", why=one), remedy=wording("diff.mend"))])
        if isinstance(one, str) or isinstance(other, str):
            said = [
                wording(f"diff.{which}", text=text)
                for which, text in (("old", one), ("new", other))
                if isinstance(text, str)
            ]
            yield Change(path.stem, one != other, tuple(said) if one != other else ())
        else:
            yield Change(path.stem, _answer(one) != _answer(other), tuple(_differences(one, other)))


def _advice(reasoner: Reasoner, path: Path) -> Advice | str:
    try:
        return advise(reasoner, read_case(path, reasoner.base))
    except AdvisorError as error:
        return str(error).splitlines()[0]


def _answer(advice: Advice) -> tuple[object, ...]:
    answer = advice.answer
    return answer.kind, answer.finish, answer.leading, answer.sentence  # the last names what comes else


def _differences(old: Advice, new: Advice) -> Iterator[str]:
    if _answer(old) != _answer(new):
        yield wording("diff.answer_was", sentence=old.answer.sentence)
        yield wording("diff.answer_is", sentence=new.answer.sentence)
    before, after = ({s.finish: s for s in each.standings} for each in (old, new))
    for finish in before | after:
        if finish not in before or finish not in after:
            yield wording("diff.finish_new" if finish in after else "diff.finish_gone", finish=finish)
            continue
        was, now = before[finish], after[finish]
        if was.verdict != now.verdict:
            rules = [reason.rule for reason in (*now.ruled_out_by, *was.ruled_out_by)][:2]
            key = "diff.verdict_by" if rules else "diff.verdict"
            yield wording(key, finish=finish, was=was.verdict, now=now.verdict, rules=", ".join(rules))
        elif was.total != now.total:
            yield wording("diff.points", finish=finish, was=was.total, now=now.total)
    yield from _gone_and_come("hazard", {h.caution for h in old.hazards}, {h.caution for h in new.hazards})
    called = [{r.referral for r in (*each.stops, *each.referrals)} for each in (old, new)]
    yield from _gone_and_come("call", *called)
    yield from _gone_and_come("hold", {h.need for h in old.holds}, {h.need for h in new.holds})


def _gone_and_come(what: str, old: set[str], new: set[str]) -> Iterator[str]:
    yield from (wording(f"diff.{what}_gone", name=name) for name in sorted(old - new))
    yield from (wording(f"diff.{what}_new", name=name) for name in sorted(new - old))


def in_words(changes: Iterable[Change]) -> str:
    """What changed, a case after the other, and how many of how many."""
    told = list(changes)
    lines = []
    for change in told:
        if change.differences:
            lines += [f"{change.case}:", *(f"  {each}" for each in change.differences)]
    answers = sum(change.answer for change in told)
    touched = sum(bool(change.differences) for change in told)
    lines.append(wording("diff.count", answers=answers, n=len(told), touched=touched))
    return "\n".join(lines)
