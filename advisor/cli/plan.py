"""Verbs about what a finish takes: materials, cost, plan, compare, letter, price-names."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.app import (
    CaseArgument,
    JsonOption,
    ProductOption,
    RulesOption,
    UnitsOption,
    UnitSystem,
    app,
    print_data,
    rule_base,
)
from advisor.cli.giving import OutOption, PaperOption, PaperSize, PricesOption, RoomOption, give
from explanations.wording import wording

if TYPE_CHECKING:
    from datetime import datetime

    from advisor.model.knowledge import RuleBase
    from advisor.work.takeoff import TakeOff


FinishArgument = Annotated[str | None, typer.Argument(help="A finish; the leading one if not named.")]
SlopeOption = Annotated[str, typer.Option(help="Slope of the floor, as '2 %'.")]
PeopleOption = Annotated[int | None, typer.Option(help="How many people work.")]
PictureOption = Annotated[Path | None, typer.Option(help="Also draw the figure: .svg, .png or .pdf.")]
RateOption = Annotated[str | None, typer.Option(help="Real discount rate a year, as '3 %'.")]


@app.command()
def materials(
    case: CaseArgument,
    finish: FinishArgument = None,
    room: RoomOption = None,
    slope: SlopeOption = "0 %",
    prices: PricesOption = None,
    people: PeopleOption = None,
    units: UnitsOption = None,
    paper: PaperOption = PaperSize.letter,
    out: OutOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """List what to buy and hire for a finish, in whole packs at least cost, with what is left over."""
    from advisor.pages.lists import materials_page

    _check(out, None)
    study = _study(case, room, slope, prices, people, units, rule_base(rules, products=product))
    chosen = study.chosen(finish)
    if as_json:
        from advisor.pages.records import shopping_record

        print_data(shopping_record(study, chosen))
    else:
        give(materials_page(study, chosen), out, paper)


@app.command()
def cost(
    case: CaseArgument,
    finish: FinishArgument = None,
    against: Annotated[str | None, typer.Option(help="Another finish, for the break-even year.")] = None,
    rate: RateOption = None,
    room: RoomOption = None,
    slope: SlopeOption = "0 %",
    prices: PricesOption = None,
    people: PeopleOption = None,
    units: UnitsOption = None,
    paper: PaperOption = PaperSize.letter,
    picture: PictureOption = None,
    out: OutOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Tell what a finish costs, low and high, yourself and hired, now and over the years, and what drives it."""
    from advisor.pages.lists import cost_bars, cost_page

    _check(out, picture)
    study = _study(case, room, slope, prices, people, units, rule_base(rules, products=product))
    chosen, real = study.chosen(finish), _rate(rate, study.base)
    if against and study.chosen(against) == chosen:
        from advisor.errors import Fault
        from advisor.work.job import BadJob

        raise BadJob([Fault("--against", wording("buying.same_finish"), wording("buying.other_finish"))])
    if as_json:
        from advisor.pages.records import cost_record

        print_data(cost_record(study, chosen, real, against))
        return
    drawn = ""
    if picture or (out and out.suffix != ".md"):
        from advisor.charts.plots import as_svg, save
        from advisor.charts.tornado import tornado

        bars, middle = cost_bars(study, chosen)
        shown = [(each.driver, each.low, each.high) for each in bars]
        figure = tornado(
            shown, middle, wording("buying.drawing", finish=study.base.finishes[chosen].name), study.book.currency
        )
        drawn = as_svg(figure)
        if picture:
            save(figure, picture)
    give(cost_page(study, chosen, real, against, drawn), out, paper)


@app.command()
def plan(
    case: CaseArgument,
    finish: FinishArgument = None,
    start: Annotated[str | None, typer.Option(help="First day, as 2026-12-01; tomorrow if not given.")] = None,
    weather: Annotated[
        Path | None,
        typer.Option(
            help="A .csv with a row an hour (time, air_c or air_f, humidity, slab_c if measured) or a month "
            "(month, day_c, night_c, day_humidity, night_humidity)."
        ),
    ] = None,
    weekdays: Annotated[bool, typer.Option("--weekdays", help="Work from Monday to Friday only.")] = False,
    room: RoomOption = None,
    slope: SlopeOption = "0 %",
    prices: PricesOption = None,
    people: PeopleOption = None,
    units: UnitsOption = None,
    paper: PaperOption = PaperSize.letter,
    picture: PictureOption = None,
    out: OutOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Plan the work: steps, hazards, days on a calendar, the crew against the clock, how hard it is for you."""
    from advisor.pages.calendar_page import laid_out, plan_picture
    from advisor.pages.plan_page import plan_page
    from advisor.work.schedule import EVERY_DAY
    from advisor.work.weather import read_weather

    _check(out, picture)
    first = _start(start)
    study = _study(case, room, slope, prices, people, units, rule_base(rules, products=product))
    chosen = study.chosen(finish)
    forecast = read_weather(weather, study.base.norms["warmest_hour"].interval.low) if weather else None
    days = frozenset(range(5)) if weekdays else EVERY_DAY
    if as_json:
        from advisor.pages.records import plan_record

        print_data(plan_record(study, chosen, first, forecast, days))
        return
    drawn = ""
    if picture or (out and out.suffix != ".md"):
        from advisor.charts.plots import as_svg, save

        if laid := laid_out(study, chosen, first, forecast, days):
            figure = plan_picture(laid, wording("plan.drawing", finish=study.base.finishes[chosen].name))
            drawn = as_svg(figure)
            if picture:
                save(figure, picture)
        elif picture:
            typer.echo(wording("plan.not_drawn", file=picture), err=True)
    give(plan_page(study, chosen, first, forecast, days, drawn), out, paper)


@app.command()
def compare(
    case: CaseArgument,
    finish: Annotated[list[str] | None, typer.Argument(help="Finishes to compare; the best four if none.")] = None,
    rate: RateOption = None,
    room: RoomOption = None,
    slope: SlopeOption = "0 %",
    prices: PricesOption = None,
    people: PeopleOption = None,
    units: UnitsOption = None,
    paper: PaperOption = PaperSize.letter,
    picture: PictureOption = None,
    out: OutOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Compare finishes side by side: look, cost, difficulty, days, breathability, wear, grip, upkeep."""
    from advisor.pages.compare import compare_page, compared, panels

    _check(out, picture)
    study = _study(case, room, slope, prices, people, units, rule_base(rules, products=product))
    columns = compared(study, finish or [], _rate(rate, study.base))
    if as_json:
        from advisor.pages.records import comparison_record

        print_data(comparison_record(study, columns))
        return
    drawn = ""
    if picture or (out and out.suffix != ".md"):
        from advisor.charts.plots import as_svg, save
        from advisor.charts.ranges import ranges

        names = [each.finish.name for each in columns]
        figure = ranges(names, panels(columns, study.book.currency), wording("compare.drawing", floor=study.case.floor))
        drawn = as_svg(figure)
        if picture:
            save(figure, picture)
    give(compare_page(study, columns, drawn, abreast=2 if out is None else 6), out, paper, sheets=1)


@app.command()
def letter(
    case: CaseArgument,
    shop: Annotated[
        Path | None, typer.Option(help="Who writes: a file with name, address, contact, logo and signature.")
    ] = None,
    to: Annotated[
        list[str] | None, typer.Option(help="The addressee, a line at a time, the name first; may be repeated.")
    ] = None,
    rate: RateOption = None,
    room: RoomOption = None,
    slope: SlopeOption = "0 %",
    prices: PricesOption = None,
    people: PeopleOption = None,
    units: UnitsOption = None,
    paper: PaperOption = PaperSize.letter,
    out: OutOption = None,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Write the answer for the customer: two pages at most in plain words."""
    from advisor.pages.letter import NOBODY, letter_page
    from advisor.pages.shop import read_shop

    _check(out, None)
    writer = read_shop(shop) if shop else NOBODY
    study = _study(case, room, slope, prices, people, units, rule_base(rules, products=product))
    give(letter_page(study, _rate(rate, study.base), writer, to or ()), out, paper, sheets=2)


@app.command("price-names")
def price_names(
    out: Annotated[Path | None, typer.Option(help="Write a price book to fill in to this file: .csv.")] = None,
    currency: Annotated[str, typer.Option(help="Of the book to fill in.")] = "USD",
    rules: RulesOption = None,
) -> None:
    """List what the rows of a price book may serve, and its columns; or write a book to fill in."""
    from advisor.work.book_rows import COLUMNS
    from advisor.work.pricebook import price_names as names

    if out:
        from datetime import date

        from advisor.work.pricebook import starter
        from explanations.files import check_place, write_whole

        check_place(out, (".csv",))
        write_whole(out, starter(rule_base(rules), currency.upper(), date.today()).encode())
        typer.echo(wording("page.written", file=out), err=True)
        return
    typer.echo(f"{wording('pricebook.columns', names=', '.join(COLUMNS))}\n")
    for kind, name, words in names(rule_base(rules)):
        typer.echo(f"{kind:7} {name:22} {words}")


def _study(
    case: Path,
    rooms: list[str] | None,
    slope: str,
    prices: Path | None,
    people: int | None,
    units: UnitSystem | None,
    base: RuleBase,
) -> TakeOff:
    from datetime import date

    from advisor.demo import find_case
    from advisor.engines.reasoning import Reasoner
    from advisor.facts.case import read_case
    from advisor.work.takeoff import begin
    from explanations.reading import write_for

    floor = read_case(find_case(case), base)
    reasoner, today = Reasoner(base), date.today()
    study = begin(reasoner, floor, today, rooms or (), slope, prices, people, units.value if units else None)
    write_for(study.reading)
    return study


def _check(out: Path | None, picture: Path | None) -> None:
    """Refuse a file that cannot be written before anything is worked out."""
    from advisor.charts.plots import check_plot
    from advisor.pages.files import check_file
    from explanations.errors import CannotWrite

    if out:
        check_file(out)
    if picture:
        check_plot(picture)
        if out and out.resolve() == picture.resolve():
            raise CannotWrite(picture, wording("plan.two_files"))


def _rate(text: str | None, base: RuleBase) -> float:
    from advisor.errors import Fault
    from advisor.model.quantities import NotAQuantity, read_quantity
    from advisor.physics.bounds import Interval
    from advisor.work.job import BadJob

    if text is None:
        return base.norms["discount_rate"].interval.low / 100.0
    try:
        return read_quantity(text, "percent", Interval(0.0, 50.0)).low / 100.0
    except NotAQuantity as error:
        raise BadJob([Fault("--rate", wording("plan.unread", given=text, why=error), wording("plan.rate"))]) from None


def _start(text: str | None) -> datetime:
    from datetime import date, datetime, time, timedelta

    from advisor.errors import Fault
    from advisor.work.job import BadJob

    try:
        day = date.fromisoformat(text) if text else date.today() + timedelta(days=1)
    except ValueError:
        raise BadJob([Fault("--start", wording("plan.no_date", given=text), wording("plan.date"))]) from None
    if not 2000 <= day.year <= 2200:
        raise BadJob([Fault("--start", wording("plan.no_day", day=day), wording("plan.days_allowed"))])
    return datetime.combine(day, time())
