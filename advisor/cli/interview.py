"""Verbs about what is not known: next, interview, revise."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import (
    CaseArgument,
    JsonOption,
    ProductOption,
    RulesOption,
    UnitsOption,
    app,
    print_data,
    read_floor,
    rule_base,
)
from advisor.cli.lines import exit_code, line_reader, stops_interrupt

MOST_QUESTIONS = 3


@app.command("next")
def next_question(
    case: CaseArgument,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
) -> None:
    """Tell whether the answer is certain, what it may still come to, and what to ask next."""
    from advisor.asking.conversation import wrapped
    from advisor.asking.interview import interview_about
    from advisor.asking.next_words import outlook_told

    base = rule_base(rules, products=product)
    interview = interview_about(base, read_floor(case, base, units), keep_declined=False)
    try:
        if as_json:
            from advisor.asking.next_record import next_record

            print_data(next_record(interview, MOST_QUESTIONS))
        else:
            for line in outlook_told(interview, MOST_QUESTIONS):
                typer.echo(wrapped(line))
    finally:
        interview.close()


@app.command()
def interview(
    case: Annotated[
        Path | None, typer.Argument(help="A case to go on with, the name of a demo case, or a new file to write.")
    ] = None,
    save: Annotated[Path | None, typer.Option(help="Where to save the case.")] = None,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Ask what matters, in the order in which it settles most, and end in the advice and a saved case."""
    from advisor.asking.conversation import Conversation
    from advisor.asking.interview import interview_about
    from advisor.demo import find_case
    from advisor.facts.case import read_case
    from advisor.facts.case_file import check_place, was_written_here
    from explanations.words import visible

    base = rule_base(rules, products=product)
    known = path = None
    if case is not None and not (case.suffix in (".yaml", ".yml") and not case.exists()):
        path = find_case(case)
        known = read_case(path, base)
        target = path if was_written_here(path) else Path(f"{path.stem}-answers.yaml")
    else:
        target = case or Path("interview.yaml")
    target = save or _free(target)
    check_place(target)
    held = interview_about(base, known, keep_declined=known is not None and was_written_here(target))
    if known is None:
        held.named(visible(target.stem.replace("_", " ")))

    talk, code = Conversation(held, target, line_reader(), typer.echo, like=path), 0
    try:
        with stops_interrupt():
            finished = talk.run()
        if finished:
            talk.save()
            from advisor.pages.short_answer import short_page
            from advisor.pages.text import print_page, terminal
            from advisor.work.fit import study_fully

            typer.echo("")
            print_page(short_page(study_fully(held.reasoner, held.case, held.today).advice), terminal())
    except KeyboardInterrupt as stop:
        code = exit_code(stop)
    finally:  # whatever happened, nothing that was answered is lost
        if not talk.saved:
            with suppress(OSError):  # nobody may be there to read of it
                typer.echo("")
            with suppress(OSError):
                talk.keep()
        held.close()
    if code or not talk.saved:
        raise typer.Exit(code or 2)


def _free(path: Path) -> Path:
    """The path, or with a number where another file is there that the interview did not write."""
    from advisor.facts.case_file import was_written_here

    number, free = 2, path
    while free.exists() and not was_written_here(free):
        free = path.with_stem(f"{path.stem}-{number}")
        number += 1
    return free


@app.command()
def revise(
    case: CaseArgument,
    said: Annotated[
        list[str],
        typer.Argument(
            metavar="FACT=VALUE...", help="What is new: slab_humidity='88 % on 2026-11-02 by testing firm'; or unknown."
        ),
    ],
    graph: Annotated[Path | None, typer.Option(help="Also draw the difference: .svg, .png, .pdf or .dot.")] = None,
    save: Annotated[Path | None, typer.Option(help="Also save the revised case.")] = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
) -> None:
    """Answer anew with new facts, and tell what falls, what stands and what comes back."""
    from advisor.asking.conversation import wrapped
    from advisor.asking.revision_words import draw_revision, revision_told
    from advisor.engines.reasoning import Reasoner
    from advisor.facts.case_file import check_place, save_case
    from advisor.work.explained import revised_fully
    from explanations.wording import wording

    if graph:
        from explanations.pictures import check_picture

        check_picture(graph)
    if save:
        check_place(save)
    base = rule_base(rules, products=product)
    revision = revised_fully(Reasoner(base), read_floor(case, base, units), said, date.today())
    if as_json:
        from advisor.asking.revision_record import revision_record

        print_data(revision_record(revision))
    else:
        for line in revision_told(revision):
            typer.echo(wrapped(line))
    if save:
        from advisor.demo import find_case

        save_case(revision.case, save, find_case(case))
        typer.echo(wording("cli.revised_is_in", file=save), err=True)
    if graph:
        draw_revision(revision, base, graph)
        typer.echo(wording("cli.change_is_in", file=graph), err=True)
