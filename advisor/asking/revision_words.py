"""A revision told: as lines of text, and as a picture of the difference."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from advisor.asking.revision import FinishChange, Revision
from advisor.model.knowledge import RuleBase
from advisor.model.standing import Reason
from explanations.trace import Firing
from explanations.wording import label, listed, wording

SOME = 3  # of the reasons that turn the answer only together


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
    came, went = revision.turned_by
    gone = "asking.revised.no_longer_so"
    alone = [_reason(each) for each in came if each.bears == "alone"] + [
        _reason(each, gone) for each in went if each.bears == "alone"
    ]
    with_others = [_reason(each) for each in came[:SOME]] + [_reason(each, gone) for each in went[:SOME]]
    yield from _section("turned" if alone else "turned_together", iter(alone or with_others))
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
    from advisor.answer.picturing import advice_graph
    from explanations.pictures import draw
    from explanations.shift import shift

    before, after = (advice_graph(advice, base) for advice in (revision.before, revision.after))
    draw(shift(before, after, revision.stated), wording("asking.revised.drawing", floor=revision.after.floor), path)
