"""The advice as text for a terminal: readable at 80 columns, without colour, and in a pipe."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule as Line
from rich.table import Table
from rich.text import Text

from advisor.answer.kind_words import heading
from advisor.model.advice import Advice, Certainty, FinishStanding, Hazard, Points, Reason, Referred, ToDo, Unused
from explanations.words import counted, listing

MOST_QUESTIONS = 5
MOST_REASONS = 6
MOST_TURNS = 4
COLOURS = {"danger": "bold red", "warning": "bold yellow", "caution": "yellow"}


def print_advice(advice: Advice, console: Console) -> None:
    """Print the whole answer; without a terminal, without the blanks that pad its lines."""
    if console.is_terminal:
        for part in _parts(advice):
            console.print(part)
        return
    with console.capture() as capture:
        for part in _parts(advice):
            console.print(part)
    console.file.writelines(f"{line.rstrip()}\n" for line in capture.get().splitlines())


def _parts(advice: Advice) -> Iterator[RenderableType]:
    names = {standing.finish: standing for standing in advice.standings}
    leading = names.get(advice.answer.leading or "")
    yield _heading(advice.floor)
    yield Text(heading(advice.answer, leading is not None and leading.total < 0), style="bold")
    yield _block(advice.answer.sentence, 2)
    yield from _stops(advice.stops)
    yield from _set_aside(advice.set_aside)
    yield from _to_dos("No finish before this is done", advice.holds)
    yield from _dangers(advice, leading)
    if leading:
        yield from _why(advice, leading)
        if advice.stops:
            yield from _section("First", [_block("Nothing is measured, scraped or wetted before the call above.")])
        else:
            yield from _to_dos(f"First, for {leading.name}", leading.first)
    if runner_up := names.get(advice.answer.runner_up or ""):
        yield from _runner_up(leading, runner_up)
    yield from _certainty(advice.certainty)
    yield from _questions(advice)
    yield from _referrals(advice.referrals)
    yield from _all_finishes(advice)
    yield from _hazards_of_work(advice, leading)
    yield from _footing(advice)


def _heading(text: str) -> RenderableType:
    return Line(Text(text or "Advice", style="bold"), align="left", characters="-")


def _block(text: str, indent: int = 2, style: str = "") -> RenderableType:
    return Padding(Text(text, style=style), (0, 0, 0, indent))


def _bullet(text: str, lead: str = "-", style: str = "") -> RenderableType:
    table = Table.grid(padding=(0, 1))
    table.add_row(Text(f"  {lead}", style=style), Text(text))
    return table


def _section(title: str, parts: Iterable[RenderableType]) -> Iterator[RenderableType]:
    parts = list(parts)
    if parts:
        yield Text("")
        yield Text(title, style="bold")
        yield from parts


def _because(reasons: Iterable[Reason], indent: int = 4) -> Iterator[RenderableType]:
    for reason in reasons:
        yield _block(f"{reason.because} [{reason.rule}]", indent)


def _stops(stops: Iterable[Referred]) -> Iterator[RenderableType]:
    for stop in stops:
        yield Text("")
        yield Text(f"STOP. Call {stop.who}.", style="bold red")
        yield _block(stop.tell)
        yield from _because(stop.reasons)


def _set_aside(unused: Iterable[Unused]) -> Iterator[RenderableType]:
    parts: list[RenderableType] = []
    for each in unused:
        parts.append(_bullet(each.says, "?"))
        parts += [_bullet(f"It may be: {text}", "   -") for text in each.explanations]
        parts.append(_block(f"What decides: {each.test}", 4))
    yield from _section("Taken as unknown; the answer does not rest on it", parts)


def _to_dos(title: str, to_dos: Iterable[ToDo]) -> Iterator[RenderableType]:
    yield from _section(
        title,
        (Group(_bullet(f"{to_do.kind.capitalize()}: {to_do.says}"), *_because(to_do.reasons[:2])) for to_do in to_dos),
    )


def _concerning(advice: Advice, leading: FinishStanding | None) -> list[Hazard]:
    """The hazards of this floor and of the leading finish."""
    return [h for h in advice.hazards if h.floor or (leading and leading.finish in h.finishes)]


def _from_facts(advice: Advice, hazard: Hazard) -> bool:
    """Whether facts of this floor raise the hazard, rather than the finish whatever the floor."""
    resting = {firing.rule for firing in advice.trace.firings if firing.antecedents}
    return any(reason.rule in resting for reason in hazard.reasons)


def _dangers(advice: Advice, leading: FinishStanding | None) -> Iterator[RenderableType]:
    """At the top: what the facts of this floor warn of, and the names of the dangers of the work itself."""
    concerning = _concerning(advice, leading)
    top = [h for h in concerning if h.floor or (h.severity == "danger" and _from_facts(advice, h))]
    parts: list[RenderableType] = [_hazard(hazard) for hazard in top]
    if below := [h.title for h in concerning if h.severity == "danger" and h not in top]:
        parts.append(_bullet(f"Dangers of the work itself: {listing(below)}; read them in full below.", "!"))
    yield from _section("Dangers", parts)


def _hazards_of_work(advice: Advice, leading: FinishStanding | None) -> Iterator[RenderableType]:
    """All hazards of this floor and the leading finish in full; those of other finishes by name."""
    shown = _concerning(advice, leading)
    parts: list[RenderableType] = [_hazard(hazard) for hazard in shown]
    if others := [h.title for h in advice.hazards if h not in shown]:
        parts.append(_block(f"Other finishes carry further hazards, shown with them: {listing(others)}."))
    yield from _section(f"Hazards of the work{f' with {leading.name}' if leading else ''}", parts)
    yield _block(advice.deference, style="bold")


def _hazard(hazard: Hazard) -> RenderableType:
    step = "" if hazard.step == "any" else f" ({hazard.step})"
    return _bullet(f"{hazard.severity.upper()}{step}: {hazard.says}", "!", COLOURS[hazard.severity])


def _why(advice: Advice, leading: FinishStanding) -> Iterator[RenderableType]:
    """The weightiest points for the leading finish, and those against it."""
    awards = sorted(leading.points, key=lambda award: -abs(award.weighted))
    speaking_for = [award for award in awards if award.weighted > 0][:MOST_REASONS]
    against = [award for award in awards if award.weighted < 0][:MOST_REASONS]
    title = "Why" if advice.answer.finish else f"Leading so far: {leading.name}"
    yield from _section(title, map(_award, speaking_for))
    yield from _section("Against it", map(_award, against))


def _award(award: Points) -> RenderableType:
    return _bullet(f"{award.because} [{award.criterion} {award.weighted:+d}, {award.rule}]")


def _runner_up(leading: FinishStanding | None, runner_up: FinishStanding) -> Iterator[RenderableType]:
    assert leading is not None
    lead = leading.total - runner_up.total
    behind = f"{counted(lead, 'point')} behind" if lead else "with the same points"
    standing = "suits on conditions" if runner_up.first else "suits"
    text = f"{runner_up.name} ({standing}), {behind}."
    gains = _gaining(leading, runner_up)
    if gains:
        text += f" It is better on {listing(gains)}; it would win if that mattered more to you."
    yield from _section("Runner-up", [_block(text)])


def _gaining(leading: FinishStanding, other: FinishStanding) -> list[str]:
    def by_criterion(standing: FinishStanding) -> dict[str, int]:
        sums: dict[str, int] = {}
        for award in standing.points:
            sums[award.criterion] = sums.get(award.criterion, 0) + award.weighted
        return sums

    first, second = by_criterion(leading), by_criterion(other)
    return sorted(name for name in second.keys() | first.keys() if second.get(name, 0) > first.get(name, 0))


def _certainty(certainty: Certainty | None) -> Iterator[RenderableType]:
    """Certain, or the likeliest answers that turn it."""
    if certainty is None:
        return
    parts: list[RenderableType] = [_block(certainty.says)]
    parts += [_bullet(f"If {turning.says}") for turning in certainty.turns[:MOST_TURNS]]
    if more := len(certainty.turns) - MOST_TURNS:
        parts += [_block(f"and {counted(more, 'less likely answer')}.")] if more > 0 else []
    if certainty.state != "certain":
        parts.append(_block("What each answer would do, and what it may all come to: advisor next"))
    yield from _section("Is it certain?", parts)


def _questions(advice: Advice) -> Iterator[RenderableType]:
    asked = advice.ask_next[:MOST_QUESTIONS]
    parts: list[RenderableType] = []
    for number, question in enumerate(asked, start=1):
        parts.append(_bullet(f"{question.ask} [{question.fact}]", f"{number}."))
        parts.append(_block(f"{question.why} How: {question.find_out}", 5))
    if len(advice.ask_next) > len(asked):
        parts.append(
            _block(f"and {counted(len(advice.ask_next) - len(asked), 'further fact')} that could matter less.")
        )
    if asked and advice.certainty is None:
        parts.append(_block("What each answer would do, and whether anything is certain yet: advisor next"))
    yield from _section("What to find out next", parts)


def _referrals(referrals: Iterable[Referred]) -> Iterator[RenderableType]:
    yield from _section("Also ask", (_bullet(f"{each.who}. {each.tell}") for each in referrals))


def _all_finishes(advice: Advice) -> Iterator[RenderableType]:
    table = Table(box=None, padding=(0, 1), show_edge=False, header_style="bold")
    table.add_column("", justify="right")
    table.add_column("Finish", ratio=3)
    table.add_column("Points", justify="right")
    table.add_column("Standing", ratio=5)
    for standing in advice.standings:
        rank = str(standing.rank) if standing.rank else "-"
        table.add_row(rank, standing.name, str(standing.total), _standing_words(standing))
    yield Text("")
    yield Text("All finishes", style="bold")
    yield table


def _standing_words(standing: FinishStanding) -> str:
    if standing.verdict == "ruled out":
        more = len(standing.ruled_out_by) - 1
        further = f" (and {counted(more, 'more reason')})" if more else ""
        return f"ruled out: {standing.ruled_out_by[0].because}{further}"
    if standing.verdict == "suits if":
        deciding = [to_do.need.replace("_", " ") for to_do in standing.first if to_do.decides]
        others = len(standing.first) - len(deciding)
        parts = [*deciding, *([counted(others, "preparation")] if others else [])]
        return f"suits if done first: {listing(parts)}"
    return "suits"


def _footing(advice: Advice) -> Iterator[RenderableType]:
    yield Text("")
    yield Text(f"Rests on {advice.rests_on}")
    mark = advice.rule_base
    yield Text(f"{advice.date}, rule base {mark.version} ({mark.fingerprint}), {counted(mark.rules, 'rule')}.")
    for overlay in mark.overlays:
        version = f" {overlay.version}" if overlay.version else ""
        replaces = f"; it replaces {listing(overlay.replaced)}" if overlay.replaced else ""
        new = counted(len(overlay.added), "new entry", "new entries")
        yield Text(f"Laid over it: {overlay.name}{version}, {new}{replaces}.")
        yield from (Text(f"  {told}") for told in overlay.safety)
