"""A revision told: as lines of text, and as a picture of the difference."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from advisor.asking.revision import FinishChange, Revision
from advisor.model.knowledge import RuleBase
from explanations.words import listing


def revision_told(revision: Revision) -> Iterator[str]:
    """The difference, section by section; indented lines belong to the line before."""
    before, after = revision.before, revision.after
    yield f"Before: {before.answer.sentence}"
    yield f"Now:    {after.answer.sentence}" if _moved(revision) else "Now:    the same."
    if after.answer.asked and after.answer.asked != before.answer.asked:
        yield after.answer.asked.sentence
    yield from _section("New", (f"{each.fact}: {each.was} -> {each.now}" for each in revision.facts))
    yield from _section("Taken as unknown", (f"{each.says} What decides: {each.test}" for each in revision.set_aside))
    yield from _section("No longer believed", (f"{each.because} [{each.rule}]" for each in revision.no_longer))
    yield from _section("Believed now", (f"{each.because} [{each.rule}]" for each in revision.new))
    yield from _section("Falls", (_told(each) for each in revision.which("fell")))
    yield from _section("Comes back", (_told(each) for each in revision.which("came back")))
    yield from _section("Stands", (_told(each) for each in revision.which("stands")))
    if out := revision.which("stays out"):
        yield ""
        yield f"Stays ruled out: {listing(each.after.name for each in out)}."


def _moved(revision: Revision) -> bool:
    return revision.before.answer != revision.after.answer


def _section(title: str, lines: Iterator[str]) -> Iterator[str]:
    listed = list(lines)
    if listed:
        yield ""
        yield title
        yield from (f"  - {line}" for line in listed)


def _told(change: FinishChange) -> str:
    text = change.after.name
    if change.change != "fell":
        before, after = change.before, change.after
        text += f"; place {after.rank}, {after.total} points"
        if change.change == "stands" and (before.rank, before.total) != (after.rank, after.total):
            text += f" (was {before.rank}, {before.total})"
        if change.change == "stands" and change.conditions_gone:
            text += f"; no longer first: {_needs(change.conditions_gone)}"
        if change.conditions_new:
            text += f"; now first: {_needs(change.conditions_new)}"
    lead = "" if change.change == "fell" else "No longer so: "
    return f"{text}. " + " ".join(f"{lead}{reason.because} [{reason.rule}]" for reason in change.why)


def _needs(needs: tuple[str, ...]) -> str:
    return listing(each.replace("_", " ") for each in needs)


def draw_revision(revision: Revision, base: RuleBase, path: Path) -> None:
    """Draw what changed between the gists of the two answers, in the format of the file's ending."""
    from advisor.answer.picturing import advice_graph, view
    from explanations.pictures import draw
    from explanations.views import difference

    graphs = [view(advice_graph(advice, base), advice, "gist") for advice in (revision.before, revision.after)]
    draw(difference(*graphs), f"What changed: {revision.after.floor}", path)
