"""Verbs about what a finish takes: materials, cost, plan, compare, letter, price-names."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.app import JsonOption, RulesOption, app, print_data, rule_base
from advisor.cli.floor_options import Asked, about_a_floor
from advisor.cli.giving import give
from explanations.wording import wording

if TYPE_CHECKING:
    from matplotlib.figure import Figure


FinishArgument = Annotated[str | None, typer.Argument(help="A finish; the leading one if not named.")]
PictureOption = Annotated[Path | None, typer.Option(help="Also draw the figure: .svg, .png or .pdf.")]
RateOption = Annotated[str | None, typer.Option(help="Real discount rate a year, as '3 %'.")]


@app.command()
@about_a_floor
def materials(
    asked: Asked,
    finish: FinishArgument = None,
    as_json: JsonOption = False,
) -> None:
    """List what to buy and hire for a finish, in whole packs at least cost, with what is left over."""
    from advisor.pages.lists import materials_page

    study = asked.study()
    chosen = study.chosen(finish)
    if as_json:
        from advisor.pages.records import shopping_record

        print_data(shopping_record(study, chosen))
    else:
        give(materials_page(study, chosen), asked.out, asked.paper)


@app.command()
@about_a_floor
def cost(
    asked: Asked,
    finish: FinishArgument = None,
    against: Annotated[str | None, typer.Option(help="Another finish, for the break-even year.")] = None,
    rate: RateOption = None,
    picture: PictureOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell what a finish costs, low and high, yourself and hired, now and over the years, and what drives it."""
    from advisor.pages.lists import cost_bars, cost_page
    from advisor.work.typed import read_rate

    study = asked.study(picture)
    chosen, real = study.chosen(finish), read_rate(rate, study.base)
    if against and study.chosen(against) == chosen:
        from advisor.errors import Fault
        from advisor.work.extent import BadJob

        raise BadJob([Fault("--against", wording("buying.same_finish"), wording("buying.other_finish"))])
    if as_json:
        from advisor.pages.records import cost_record

        print_data(cost_record(study, chosen, real, against))
        return

    def figure() -> Figure:
        from advisor.charts.tornado import tornado

        bars, middle = cost_bars(study, chosen)
        shown = [(each.driver, each.low, each.high) for each in bars]
        title = wording("buying.drawing", finish=study.base.finishes[chosen].name)
        return tornado(shown, middle, title, study.book.currency)

    drawn = asked.drawn(picture, figure)
    give(cost_page(study, chosen, real, against, drawn), asked.out, asked.paper)


@app.command()
@about_a_floor
def plan(
    asked: Asked,
    finish: FinishArgument = None,
    start: Annotated[str | None, typer.Option(help="First day, as 2026-12-01; tomorrow if not given.")] = None,
    weather: Annotated[
        Path | None,
        typer.Option(
            help="A .csv with a row an hour (time, air_c or air_f, humidity, slab_c if measured) or a month "
            "(month, day_c, night_c, day_humidity, night_humidity)."
        ),
    ] = None,
    weekdays: Annotated[
        bool | None,
        typer.Option("--weekdays/--every-day", help="Without either, a crew keeps its weekend and oneself does not."),
    ] = None,
    picture: PictureOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan the work: steps, hazards, days on a calendar, the crew against the clock, how hard it is for you."""
    from datetime import date

    from advisor.pages.calendar_page import laid_out, plan_picture
    from advisor.pages.plan_page import plan_page
    from advisor.work.schedule import days_asked
    from advisor.work.typed import read_start
    from advisor.work.weather import read_weather

    first, study = read_start(start, date.today()), asked.study(picture)
    chosen = study.chosen(finish)
    forecast = read_weather(weather, study.base.norms["warmest_hour"].interval.low) if weather else None
    days = days_asked(weekdays)
    if as_json:
        from advisor.pages.records import plan_record

        print_data(plan_record(study, chosen, first, forecast, days))
        return

    def figure() -> Figure | None:
        if laid := laid_out(study, chosen, first, forecast, days):
            return plan_picture(laid, wording("plan.drawing", finish=study.base.finishes[chosen].name))
        if picture:
            typer.echo(wording("plan.not_drawn", file=picture), err=True)
        return None

    drawn = asked.drawn(picture, figure)
    give(plan_page(study, chosen, first, forecast, days, drawn), asked.out, asked.paper)


@app.command()
@about_a_floor
def compare(
    asked: Asked,
    finish: Annotated[list[str] | None, typer.Argument(help="Finishes to compare; the best four if none.")] = None,
    rate: RateOption = None,
    picture: PictureOption = None,
    as_json: JsonOption = False,
) -> None:
    """Compare finishes side by side: look, cost, difficulty, days, breathability, wear, grip, upkeep."""
    from advisor.pages.compare import compare_page, compared, panels
    from advisor.work.typed import read_rate

    study = asked.study(picture)
    columns = compared(study, finish or [], read_rate(rate, study.base))
    if as_json:
        from advisor.pages.records import comparison_record

        print_data(comparison_record(study, columns))
        return

    def figure() -> Figure:
        from advisor.charts.ranges import ranges

        names, title = [each.finish.name for each in columns], wording("compare.drawing", floor=study.case.floor)
        return ranges(names, panels(columns, study.book.currency), title)

    drawn = asked.drawn(picture, figure)
    give(compare_page(study, columns, drawn, abreast=2 if asked.out is None else 6), asked.out, asked.paper, sheets=1)


@app.command()
@about_a_floor
def letter(
    asked: Asked,
    shop: Annotated[
        Path | None, typer.Option(help="Who writes: a file with name, address, contact, logo and signature.")
    ] = None,
    to: Annotated[
        list[str] | None, typer.Option(help="The addressee, a line at a time, the name first; may be repeated.")
    ] = None,
    rate: RateOption = None,
    care: Annotated[bool, typer.Option("--care", help="Tell how the floor is kept, on a sheet more.")] = False,
) -> None:
    """Write the answer for the customer: two pages at most in plain words."""
    from advisor.pages.letter import letter_page
    from advisor.pages.shop import NOBODY, read_shop
    from advisor.work.typed import read_rate

    writer = read_shop(shop) if shop else NOBODY
    study = asked.study()
    page = letter_page(study, read_rate(rate, study.base), writer, to or (), care)
    give(page, asked.out, asked.paper, sheets=3 if care else 2)


@app.command("price-names")
def price_names(
    out: Annotated[Path | None, typer.Option(help="Write a price book to fill in to this file: .csv.")] = None,
    currency: Annotated[str, typer.Option(help="Of the book to fill in.")] = "USD",
    rules: RulesOption = None,
) -> None:
    """List what the rows of a price book may serve, and its columns; or write a book to fill in."""
    from advisor.work.book_rows import COLUMNS
    from advisor.work.book_starter import price_names as names

    if out:
        from datetime import date

        from advisor.work.book_starter import starter
        from explanations.files import check_place, write_whole

        check_place(out, (".csv",))
        write_whole(out, starter(rule_base(rules), currency.upper(), date.today()).encode())
        typer.echo(wording("page.written", file=out), err=True)
        return
    typer.echo(f"{wording('pricebook.columns', names=', '.join(COLUMNS))}\n")
    for kind, name, words in names(rule_base(rules)):
        typer.echo(f"{kind:7} {name:22} {words}")
