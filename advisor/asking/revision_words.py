"""A revision told: as lines of text, and as a picture of the difference."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from advisor.answer.shifting import Turner
from advisor.asking.revision import FinishChange, Revision
from advisor.model.knowledge import RuleBase
from advisor.model.standing import Reason
from explanations.graph import Graph, rule_key
from explanations.shift import shift
from explanations.trace import Firing
from explanations.wording import label, listed, wording

SOME = 5  # of what turns the answer


def revision_told(revision: Revision) -> Iterator[str]:
    """The difference, section by section; indented lines belong to the line before."""
    before, after = revision.before, revision.after
    yield wording("asking.revised.before", answer=before.opening)
    moved = (before.answer, before.opening) != (after.answer, after.opening)
    yield wording("asking.revised.now" if moved else "asking.revised.same", answer=after.opening)
    if after.answer.asked and after.answer.asked != before.answer.asked:
        yield after.answer.asked.sentence
    changed = (
        wording("asking.revised.change", fact=e.fact, name=label("fact", e.fact), was=e.was, now=e.now)
        for e in revision.facts
    )
    yield from _section("new", changed)
    aside = (wording("asking.revised.aside", says=each.says, test=each.test) for each in revision.set_aside)
    yield from _section("unknown", aside)
    yield from _turned(revision)
    yield from _section("no_longer", map(_reason, revision.no_longer))
    yield from _section("believed", map(_reason, revision.new))
    yield from _section("falls", map(_told, revision.which("fell")))
    yield from _section("comes_back", map(_told, revision.which("came back")))
    yield from _section("stands", map(_told, revision.which("stands")))
    otherwise = revision.otherwise_out
    yield from _section("otherwise", (_still_out(change.after.name, some) for change, some in otherwise))
    moved_out = {change.finish for change, _ in otherwise}
    if out := [each for each in revision.which("stays out") if each.finish not in moved_out]:
        yield ""
        yield wording("asking.revised.out", names=listed(each.after.name for each in out))


def _turned(revision: Revision) -> Iterator[str]:
    """What turns the answer: what it could not do without, else what would be enough for it, alone or together."""
    for turns in ("needed", "enough", "together"):
        if found := [each for each in revision.turned_by if each.turns == turns]:
            lines = [_turner(each) for each in found[:SOME]]
            if more := len(found) - SOME if len(found) > SOME + 1 else 0:
                lines.append(wording("asking.revised.more", n=more))
            else:
                lines += [_turner(each) for each in found[SOME:]]
            yield from _section("turned" if len(found) == 1 else f"turned_{turns}", iter(lines))
            return


def _turner(each: Turner) -> str:
    was, now = each.points
    if each.firing is None:
        name, criterion = label("fact", each.importance), label("criterion", each.criterion)
        return wording("asking.revised.weight", name=name, criterion=criterion, was=was, now=now)
    told = _reason(each.firing, "asking.revised.no_longer_so" if each.gone else "asking.revised.reason")
    return wording("asking.revised.points", told=told, was=was, now=now) if was != now else told


def _still_out(name: str, reasons: Iterable[Reason]) -> str:
    return f"{name}. " + " ".join(map(_reason, reasons))


def _reason(reason: Reason | Firing, key: str = "asking.revised.reason") -> str:
    return wording(key, because=reason.because, rule=reason.rule)


def _section(title: str, lines: Iterator[str]) -> Iterator[str]:
    listed = list(lines)
    if listed:
        yield ""
        yield wording(f"asking.revised.{title}")
        yield from (f"  - {line}" for line in listed)


def _told(change: FinishChange) -> str:
    text = change.after.name
    if change.change != "fell":
        before, after = change.before, change.after
        text += wording("asking.revised.place", rank=after.rank, total=after.total)
        if change.change == "stands" and (before.rank, before.total) != (after.rank, after.total):
            text += wording("asking.revised.was", rank=before.rank, total=before.total)
        if change.change == "stands" and change.conditions_gone:
            text += wording("asking.revised.gone", needs=_needs(change.conditions_gone))
        if change.conditions_new:
            text += wording("asking.revised.first", needs=_needs(change.conditions_new))
    key = "asking.revised.reason" if change.change == "fell" else "asking.revised.no_longer_so"
    return f"{text}. " + " ".join(_reason(reason, key) for reason in change.why)


def _needs(needs: tuple[str, ...]) -> str:
    return listed(label("need", each) for each in needs)


def draw_revision(revision: Revision, base: RuleBase, path: Path) -> None:
    """Draw what turned the answer, in the format of the file's ending."""
    from explanations.pictures import draw

    draw(shift_of(revision, base), wording("asking.revised.drawing", floor=revision.after.floor), path)


def shift_of(revision: Revision, base: RuleBase) -> Graph[str]:
    """The picture of what turned the answer."""
    from advisor.answer.picturing import advice_graph

    before, after = (advice_graph(advice, base) for advice in (revision.before, revision.after))
    return shift(before, after, revision.stated, turning_nodes(revision.turned_by))


def turning_nodes(turners: Iterable[Turner]) -> list[str]:
    """The nodes of what turns an answer, in order."""
    return [
        rule_key(each.firing.rule, each.firing.finish) if each.firing else f"fact:{each.importance}" for each in turners
    ]
