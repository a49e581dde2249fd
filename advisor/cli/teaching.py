"""Verbs for a trainer and a learner: lesson, lessons."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.app import (
    CaseArgument,
    JsonOption,
    ProductOption,
    RulesOption,
    app,
    asked_for_causes,
    print_data,
    read_floor,
    rule_base,
    speak_of_causes,
)
from advisor.cli.giving import PaperOption, PaperSize
from advisor.cli.lines import exit_code, line_reader, stops_interrupt
from advisor.errors import BadRequest, Fault
from explanations.wording import listed, wording
from explanations.words import visible

if TYPE_CHECKING:
    from advisor.engines.reasoning import Reasoner
    from advisor.teaching.lesson_sets import LessonSet
    from advisor.teaching.lessons import Lesson

ProgressOption = Annotated[Path | None, typer.Option(help="Keep what you have answered in this file of your own.")]


@app.command()
def lesson(
    context: typer.Context,
    case: CaseArgument,
    rounds: Annotated[int, typer.Option(min=1, max=30, help="How often facts come to light.")] = 6,
    progress: ProgressOption = None,
    sheet: Annotated[
        Path | None, typer.Option(help="Print the questions into this file instead: .txt, .md, .html or .pdf.")
    ] = None,
    answers: Annotated[Path | None, typer.Option(help="With --sheet: the answers, into a file of their own.")] = None,
    causes: Annotated[bool, typer.Option("--causes", help="Find out what went wrong, not which finish suits.")] = False,
    paper: PaperOption = PaperSize.letter,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Learn from a case: say which fact to ask for, which finishes fall, what follows and by which rule."""
    from advisor.engines.reasoning import Reasoner
    from advisor.teaching.lessons import Lesson, played
    from advisor.teaching.sheets import ENDINGS, write_answers, write_sheet
    from explanations import lessons as told
    from explanations.errors import CannotExplain
    from explanations.files import check_place

    for path in (sheet, answers):
        if path is not None:
            check_place(path, ENDINGS)
    if sheet and answers and sheet.resolve() == answers.resolve():
        raise CannotExplain(wording("lessons.two_files", file=sheet))
    kept = told.read_progress(progress) if progress else told.Progress()
    if progress:
        told.check_progress(progress)
    base = rule_base(rules, products=product)
    floor = read_floor(case, base)
    if causes:
        from advisor.asking.causes import Inquiry
        from advisor.facts.complaints import COMPLAINTS, with_complaints

        speak_of_causes(context)
        told_of = with_complaints(base, floor.facts)
        if not any(name in told_of and told_of[name].known for name in COMPLAINTS):
            raise BadRequest([Fault("lesson --causes", wording("lessons.no_complaint"), wording("lessons.complaint"))])
        inquiry = Inquiry(base)
        under_way = Lesson(inquiry.reasoner, inquiry.case(floor), rounds)
    else:
        under_way = Lesson(Reasoner(base), floor, rounds)
    title = wording("lessons.title", floor=floor.floor)
    if sheet or answers:
        questions, marks = played(under_way)
        if sheet:
            write_sheet(sheet, title, under_way.opening, questions, paper.value)
        if answers:
            write_answers(answers, title, marks, paper.value)
        where = listed(str(path) for path in (sheet, answers) if path)
        typer.echo(wording("lessons.written", n=len(questions), files=where), err=True)
        return
    typer.echo(f"{title}\n\n{told.filled(under_way.opening)}")
    read = line_reader()
    try:
        code = _ask(under_way, read)
    finally:  # whatever happened, nothing that was answered is lost
        if progress and under_way.marks:
            from datetime import date

            taken = told.Taken(
                floor=floor.floor,
                date=date.today().isoformat(),
                rule_base=base.fingerprint,
                marks=tuple(under_way.marks),
            )
            told.write_progress(progress, kept.model_copy(update={"lessons": (*kept.lessons, taken)}))
    with suppress(OSError):  # after a hang-up nobody is there to read it
        typer.echo(f"\n{told.summary(under_way.marks)}")
        if progress and under_way.marks:
            typer.echo(wording("lessons.kept", file=progress), err=True)
    if code:
        raise typer.Exit(code)


def _ask(under_way: Lesson, read: Callable[[], str | None], quiet: bool = False) -> int:
    """Ask until the lesson or the learner ends it; what was answered counts. Gives the exit code."""
    from explanations import lessons as told

    try:
        with stops_interrupt():
            for number, exercise in enumerate(under_way.exercises(), start=1):
                typer.echo(f"\n{exercise.question.text(number)}")
                while (said := read()) is not None and said.strip() == "?":
                    typer.echo(told.filled(wording("lessons.how")))
                if said is None:
                    under_way.stopped = True
                    break
                mark = under_way.answer(exercise, visible(" ".join(said.split())))
                if not quiet:
                    typer.echo(mark.text)
    except KeyboardInterrupt as stop:
        with suppress(OSError):  # after a hang-up nobody is there to read it
            typer.echo("")
        return exit_code(stop)
    return 0


def _examine(reasoner: Reasoner, drawn: LessonSet) -> int:
    """Ask on each floor of a set, tell nothing until the end, and then a mark for each topic. Gives the exit code."""
    from advisor.teaching.lessons import Lesson
    from explanations import lessons as told
    from explanations.wording import label

    marks, code, n, read = [], 0, len(drawn.lessons), line_reader()
    typer.echo(told.filled(wording("lessons.exam", n=n)))
    for number, each in enumerate(drawn.lessons, start=1):
        under_way = Lesson(reasoner, each.case, rounds=1)
        typer.echo(f"\n{told.filled(wording('lessons.exam_floor', number=number, n=n, floor=each.case.floor))}")
        typer.echo(told.filled(under_way.opening))
        code = _ask(under_way, read, quiet=True)
        marks += under_way.marks
        if code or under_way.stopped:
            break
    rules = reasoner.base.rules
    topics = told.by_topic(marks, lambda rule: label("topic", rules[rule].topic))
    with suppress(OSError):  # after a hang-up nobody is there to read it
        typer.echo(f"\n{told.summary(marks)}")
        if topics:
            typer.echo("\n".join(["", wording("lessons.exam_marks"), *(f"  {each}" for each in topics)]))
    return code


@app.command()
def lessons(
    context: typer.Context,
    topic: Annotated[list[str] | None, typer.Option(help="A topic of the rules; all if none is named.")] = None,
    causes: Annotated[bool, typer.Option("--causes", help="Of the rules that find out what went wrong.")] = False,
    out: Annotated[Path | None, typer.Option(help="Write the floors into this folder, as case files in order.")] = None,
    exam: Annotated[
        bool, typer.Option("--exam", help="Take the set as an exam: a mark for each topic at its end.")
    ] = False,
    progress: ProgressOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Draw a set of lessons, as few as exercise all rules of the topics, from easy to hard.

    With --progress instead the rules that were missed are exercised.
    """
    from advisor.engines.reasoning import Reasoner
    from advisor.teaching.lesson_sets import LessonSet, lesson_set, rules_of, set_text, write_cases
    from explanations.files import check_new_folder
    from explanations.lessons import read_progress

    if out:
        check_new_folder(out)
    base = rule_base(rules, products=product)
    of_causes = causes or (bool(topic) and set(topic or []) <= {each.topic for each in base.cause_rules.values()})
    if of_causes:
        base = asked_for_causes(context, base)
    wanted = rules_of(base, topic or [])
    if progress:
        missed = read_progress(progress).missed()
        wanted = [rule for rule in missed if rule in wanted]
        if not wanted and not as_json:
            typer.echo(wording("lessons.nothing_missed"))
            return
    drawn = lesson_set(Reasoner(base), wanted) if wanted else LessonSet((), ())
    if exam:
        code = _examine(Reasoner(base), drawn)
        if code:
            raise typer.Exit(code)
        return
    files = write_cases(drawn, out) if out and wanted else []
    if as_json:
        from advisor.teaching.set_record import set_record

        print_data(set_record(drawn, files))
    else:
        typer.echo(set_text(drawn, files))
        if of_causes:
            typer.echo(wording("lessons.of_causes"))
