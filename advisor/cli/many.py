"""Verbs about many floors, and about the rule base as a whole: audit, survey, map, diff."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.app import JsonOption, ProductOption, RulesOption, app, print_data, rule_base
from advisor.cli.giving import PricesOption
from advisor.errors import BadRequest, Fault
from explanations.wording import wording

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase
    from advisor.survey.record import Surveyed


@app.command()
def audit(
    claims: Annotated[list[str] | None, typer.Argument(help="Only these claims; all if none is named.")] = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
) -> None:
    """Prove or refute, for every floor that there can be, what the rules claim; exit 1 if a claim is refuted."""
    from advisor.validation.audit import audit as audit_rules
    from advisor.validation.audit import check_names, in_words, tally

    base = rule_base(rules, proved=False)
    check_names(base, claims or [])
    findings = []
    for finding in audit_rules(base, claims or []):
        findings.append(finding)
        if not as_json:
            typer.echo(in_words(finding))
    if as_json:
        from advisor.validation.audit.record import audit_record

        print_data(audit_record(findings))
    else:
        typer.echo(tally(findings))
    if any(finding.outcome == "refuted" for finding in findings):
        raise typer.Exit(1)


@app.command()
def survey(
    table: Annotated[Path, typer.Argument(help="Floors as .csv, .parquet or .arrow: a row a floor, a column a fact.")],
    out: Annotated[Path | None, typer.Option(help="The result; TABLE.survey.parquet if not given.")] = None,
    page: Annotated[Path | None, typer.Option(help="Also write the summary with charts: .html, .pdf or .md.")] = None,
    workers: Annotated[int, typer.Option(min=1, max=256, help="Processes on this machine.")] = 1,
    cluster: Annotated[str, typer.Option(help="Address of a Dask scheduler to work on instead.")] = "",
    rows: Annotated[int, typer.Option(min=0, max=1_000_000, help="Rows worked on at a time; 0: what suits.")] = 0,
    weigh: Annotated[
        bool, typer.Option("--weigh", help="Find what to ask next as `advisor next` does: dozens of floors a second.")
    ] = False,
    as_json: JsonOption = False,
    prices: PricesOption = None,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Advise on every floor of a table; goes on where it was interrupted, and sets bad rows aside."""
    if as_json:
        if out or page:
            raise BadRequest([Fault("--json", wording("survey.as_data"), remedy=wording("survey.leave_out"))])
        print_data(_surveyed(table, weigh, prices, rule_base(rules, products=product)))
        return
    from advisor.pages.files import check_file, write_page
    from advisor.pages.text import print_page, terminal
    from advisor.survey.pieces import check_out
    from advisor.survey.summary import summarise
    from advisor.survey.survey import Rules
    from advisor.survey.survey import survey as survey_table
    from advisor.survey.workers import workers_of

    out = out or table.parent / f"{table.stem}.survey.parquet"
    check_out(out)
    if page:
        check_file(page)
    base = rule_base(rules, products=product)  # before any work, so that faults are told once
    by = Rules(tuple(rules or ()), tuple(product or ()), date.today().year)
    with workers_of(workers, cluster) as (executor, count), progress_bar(table) as progress:
        done = survey_table(table, out, by, executor, count, rows, weigh, progress, prices)
    summary = summarise(done, base, own_prices=prices is not None)
    print_page(summary.page(pictures=False), terminal())
    if page:
        write_page(summary.page(), page)
        typer.echo(wording("survey.page_is_in", file=page), err=True)
    typer.echo(wording("survey.result_is_in", file=done.out), err=True)
    if done.bad:
        typer.echo(wording("survey.bad_rows_are_in", file=done.bad), err=True)


def _surveyed(table: Path, weigh: bool, prices: Path | None, base: RuleBase) -> Surveyed:
    """The advice on a small table, in memory."""
    from advisor.answer.many_answers import ManyAnswers
    from advisor.survey.record import MOST_FLOORS, survey_record
    from advisor.survey.survey import numbered
    from advisor.survey.tables import BadRow
    from advisor.work.takeoff import book_for_many

    malformed: list[BadRow] = []
    rows, book = numbered(table, MOST_FLOORS + 1, malformed), book_for_many(base, date.today(), prices)
    return survey_record(ManyAnswers(base), book, rows, malformed, weigh, str(table))


@contextmanager
def progress_bar(table: Path) -> Iterator[Callable[[int], None]]:
    """A bar on stderr that counts rows; nothing where stderr is no terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from advisor.survey.tables import row_count

    console = Console(stderr=True)
    columns = (TextColumn(wording("survey.floors")), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, disable=not console.is_terminal) as bar:
        task = bar.add_task(wording("survey.floors"), total=row_count(table))
        yield lambda rows: bar.advance(task, rows)


@app.command(name="map")
def map_rules(
    topic: Annotated[str, typer.Option(help="Only this topic's rules.")] = "",
    rule: Annotated[str, typer.Option(help="Only what this rule rests on and what a change of it can touch.")] = "",
    graph: Annotated[Path | None, typer.Option(help="Also draw it: .svg, .png, .pdf or .dot.")] = None,
    rules: RulesOption = None,
) -> None:
    """Show the rule base as a whole: which facts feed which rules feed which conclusions."""
    from advisor.reference.rule_map import by_topic, in_words, measure, part_of, rule_map, touched, touched_in_words
    from explanations.pictures import check_picture, draw

    if graph:
        check_picture(graph)
    base = rule_base(rules)
    whole = rule_map(base)
    if rule:
        drawn = touched(base, whole, rule)
        typer.echo(touched_in_words(drawn, rule))
    else:
        drawn = part_of(whole, topic) if topic else by_topic(whole)
        typer.echo(in_words(measure(base, drawn if topic else whole)))
    if graph:
        draw(drawn, wording("cli.rule_map", what=rule or topic or wording("cli.all_topics")), graph)
        typer.echo(wording("cli.map_is_in", file=graph), err=True)


SHIPPED = "shipped"  # in place of a folder: the rules that came with the program


@app.command()
def diff(
    old: Annotated[Path, typer.Argument(help="A folder of rules: a whole rule base; or `shipped`.")],
    new: Annotated[Path, typer.Argument(help="Another; or a folder of your own, to be laid over the first.")],
    cases: Annotated[list[Path], typer.Argument(help="Case files, or folders of them.")],
    as_json: JsonOption = False,
    product: Annotated[
        list[Path] | None, typer.Option(help="A maker's data sheet that NEW has and OLD has not; may be given again.")
    ] = None,
) -> None:
    """Show which cases change their answer between two rule bases, and in what."""
    from advisor.model.years import in_year
    from advisor.reference.rule_diff import Diff, case_files, compare, in_words
    from advisor.rulebase.products import with_products
    from advisor.validation.loading import read_rulebase, read_whole_or_over, rules_folder

    below = rules_folder() if str(old) == SHIPPED and not old.exists() else old
    both = read_rulebase(below), read_whole_or_over(below, new)
    before, after = (in_year(base, date.today().year) for base in both)
    changes = list(compare(before, with_products(after, product or ()), case_files(cases)))
    if as_json:
        print_data(Diff(cases=tuple(changes)))
    else:
        typer.echo(in_words(changes))
