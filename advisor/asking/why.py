"""What the verbs `why` and `turn` say, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import TextWrapper

from advisor.answer.kind_words import sheet_words
from advisor.asking.changes import Change
from advisor.asking.explaining import Explained
from advisor.asking.least_facts import Facts
from advisor.asking.missing import Failed
from advisor.asking.turning import Group, Turning
from advisor.model.knowledge import UNKNOWN, RuleBase
from advisor.model.plain_words import plain
from explanations.telling import Level, tell
from explanations.wording import wording
from explanations.words import counted, listing, sentence

WIDTH = 79
TITLES: dict[Group, str] = {
    "finding out": "What finding out may show",
    "yours": "What you can choose, wait for or do",
    "use": "What only another use of the floor would change",
    "fixed": "What nobody can change (for comparison only)",
}


def why_text(told: Explained, finish: str | None, rule: str, level: Level, least: bool) -> str:
    """Why the answer, or the standing of a finish, or the silence of a rule."""
    if rule:
        return "\n".join(_rule_lines(told, finish, rule))
    aside = [f"{sentence(f'taken as unknown: {each.says}')} It is not reasoned from." for each in told.advice.set_aside]
    asked = told.advice.answer.asked
    before = [asked.sentence, ""] if asked and finish is None else []
    text = wrapped([*before, *aside, *tell(told.graph, level, finish).splitlines()])
    if finish is not None and (sheet := told.advice_of(finish).by_sheet):
        numbers = (f"- {each}" for each in sheet_words(sheet))
        text += "\n" + wrapped(["", f"{wording('product.numbers_of', name=sheet.product)}:", *numbers])
    out = finish is not None and told.advice_of(finish).verdict == "ruled out"
    if out and finish:
        text += "\n" + wrapped(["", _resting(told.out_rests_on(finish), "It is ruled out")])
    elif least:
        text += "\n" + wrapped(["", _resting(told.answer_rests_on(), "The same finish leads")])
    return text


def _resting(facts: Facts, so: str) -> str:
    if not facts:
        return f"{so} whatever else you say: it rests on none of the facts you gave."
    named = listing(f"{plain(name)} {value.shown}" for name, value in facts.items())
    return sentence(f"{so} by these facts alone, and by none fewer of them: {named}")


def wrapped(lines: Iterable[str]) -> str:
    """Lines filled to the terminal's width, each with its own indent kept."""
    out = []
    for line in lines:
        bare = line.lstrip()
        indent = " " * (len(line) - len(bare))
        hang = indent + ("  " if bare.startswith("- ") else "")
        filler = TextWrapper(
            WIDTH, initial_indent=indent, subsequent_indent=hang, break_long_words=False, break_on_hyphens=False
        )
        out.append(filler.fill(bare))
    return "\n".join(out)


def _rule_lines(told: Explained, finish: str | None, rule: str) -> Iterator[str]:
    """Finishes that lack the same are told together; those that a rule does not judge by what they are, in one line."""
    lacking: dict[tuple[Failed, ...], list[str]] = {}
    unlike: list[str] = []
    for each in told.not_fired(rule, finish):
        if finish is None and any(failed.property for failed in each.failed):
            unlike.append(told.base.finishes[each.finish].name)
        else:
            lacking.setdefault(each.failed, []).append(each.finish)
    for failed, finishes in lacking.items():
        names = [told.base.finishes[each].name for each in finishes if each]
        about = f" for {listing(names)}" if names else ""
        yield wrapped([sentence(f"the rule {rule} {'did not fire' if failed else 'fired'}{about}")])
        yield wrapped(_failed_lines(failed, 1) if failed else _fired_lines(told, rule, finishes[0]))
    if unlike:
        yield wrapped([sentence(f"by what they are, it does not judge {listing(unlike, 'or')}")])


def _fired_lines(told: Explained, rule: str, finish: str) -> Iterator[str]:
    firings = [each for each in told.advice.trace.firings if (each.rule, each.finish) == (rule, finish)]
    yield from (f"  {each.because}" for each in firings)


def _failed_lines(failed: Iterable[Failed], depth: int) -> Iterator[str]:
    indent = "  " * depth
    for each in failed:
        by = f", {each.short}" if each.short else ""
        asks = each.asks if each.property else f"it asks that {each.asks}"
        yield f"{indent}- {sentence(f'{asks}; {each.now}{by}')}"
        for behind in each.behind[:3]:
            yield f"{indent}  - {behind.rule} would conclude it, but:"
            yield from _failed_lines(behind.failed[:3], depth + 2)


def turning_text(turning: Turning, base: RuleBase) -> str:
    """The sets found, what one can find out or do first, then what was tried and what is not listed."""
    lines = [turning.question, f"Now: {turning.now.sentence}"]
    for group, title in TITLES.items():
        turns = [each for each in turning.turns if each.group == group]
        if turns:
            lines += ["", f"{title}:"]
            for each in turns:
                lines += [f"- {_changes(each.changes, base)}.", f"  Then: {each.answer.sentence}"]
    if not turning.turns:
        lines += ["", "No change that I tried does it."]
    lines += ["", " ".join(_tried(turning))]
    if turning.idle:
        alone = ", alone or with one other change," if 2 in turning.tried else ""
        named = listing((plain(fact) for fact in turning.idle), "or")
        lines += ["", f"Not listed, because no reading{alone} does it: {named}."]
    return wrapped(lines)


def _tried(turning: Turning) -> Iterator[str]:
    """What was tried, and what was not."""
    singles, pairs, threes = (turning.tried.get(size, 0) for size in (1, 2, 3))
    each = f"Tried: {counted(singles, 'change')} of one fact (every one that some rule could notice)"
    if 2 not in turning.tried:
        yield f"{each}; of two or three facts none."
    else:
        yield f"{each} and {counted(pairs, 'pair')} of those that somebody can find out, choose or bring about."
    only = counted(threes, "set was", "sets were")
    if turning.nearest:
        yield (
            f"No one or two of those do it; of three, only {only} tried: the pairs that come nearest with each third, "
            "and measurements with what makes their reading count."
        )
    elif threes:
        yield f"Of three facts only {only} tried: measurements with what makes their reading count."
    yield "Each one shown was reasoned through again."
    if turning.found > len(turning.turns):
        more = turning.found - len(turning.turns)
        yield f"{counted(more, 'further set works', 'further sets work')} (--all shows them)."


def _changes(changes: Iterable[Change], base: RuleBase) -> str:
    parts = []
    for change in changes:
        to = f"{plain(change.fact)}: {change.to}"
        if change.way == "find out":
            parts.append(to if change.was == UNKNOWN else f"{to} instead of {change.was}, which is only assumed")
        else:
            parts.append(f"{to} instead of {change.was} [{base.changes[change.way].means}]")
    return "; and ".join(parts)
