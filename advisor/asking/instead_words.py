"""One finish and not another, as text: the difference first, what both share last and in one line."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.asking.instead import Instead, Swing
from advisor.asking.why_record import TurnedBy
from explanations.wording import label, listed, wording
from explanations.words import sentence

SHOWN = 8  # rules that set the two apart; of the rest, which weighs less, what it adds up to


def instead_told(found: Instead, everything: bool = False) -> Iterator[str]:
    """Its lines, unfilled; with `everything` all rules that set the two apart, else some and the sum of the others."""
    yield sentence(_difference(found))
    for side in (found.first, found.second):
        if side.ruled_out_by:
            yield from ("", wording("instead.ruled_out_by", finish=side.name))
            yield from (f"- {because}" for because in side.ruled_out_by)
    yield ""
    if found.swings:
        yield wording("instead.apart", first=found.first.name, second=found.second.name)
        told = len(found.swings) if everything else SHOWN
        yield from (f"- {_swing(each, found)}" for each in found.swings[:told])
        if more := found.swings[told:]:
            yield f"- {wording('instead.smaller', n=len(more), sum=_points(sum(_ahead(each, found) for each in more)))}"
        gap = sum(_ahead(each, found) for each in found.swings)
        yield wording("instead.in_all", sum=_points(gap))
    else:
        yield wording("instead.nothing_apart")
    for side in (found.first, found.second):
        if side.only_first and not side.ruled_out_by:
            yield from ("", wording("instead.only", finish=side.name))
            yield from (f"- {sentence(each)}" for each in side.only_first)
    yield from ("", wording("instead.alike", n=found.alike))
    yield from _to_prefer(found)


def _difference(found: Instead) -> str:
    first, second = found.first, found.second
    out = [side for side in (first, second) if side.verdict == "ruled out"]
    if len(out) == 2:
        return wording("instead.both_out", first=first.name, second=second.name)
    if out:
        left = second if out[0] is first else first
        return wording("instead.out_and_left", left=left.name, out=out[0].name)
    if found.broken_by:
        return wording("instead.level", by=found.broken_by, first=first.name, second=second.name)
    gap = first.total - second.total
    return wording("instead.leads" if gap > 0 else "instead.behind", first=first.name, second=second.name, n=abs(gap))


def _ahead(each: Swing, found: Instead) -> int:
    """By how many points, as counted, it puts the first before the second."""
    return each.counted if each.finish == found.first.finish else -each.counted


def _points(points: int) -> str:
    return f"{points:+d}" if points else "0"


def _swing(each: Swing, found: Instead) -> str:
    given = {
        "counted": f"{_ahead(each, found):+d}",
        "criterion": label("criterion", each.criterion),
        "because": each.because,
        "rule": each.rule,
    }
    if not each.importance:
        return wording("instead.swing_plain", **given)
    names = {side.finish: side.name for side in (found.first, found.second)}
    given |= {"points": f"{each.points:+d}", "weight": str(each.weight), "importance": each.importance}
    return wording("instead.swing", finish=names[each.finish], **given)


def _to_prefer(found: Instead) -> Iterator[str]:
    if found.second.rank == 1:
        return
    if not found.to_prefer:
        yield from ("", wording("instead.nothing_prefers", second=found.second.name))
        return
    yield from ("", wording("instead.to_prefer", second=found.second.name))
    yield from (f"- {_turn(each)}" for each in found.to_prefer)


def _turn(turn: TurnedBy) -> str:
    return sentence(listed([f"{label('fact', each.fact)}: {each.says}" for each in turn.changes]))
