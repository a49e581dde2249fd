"""The verb about what went wrong: causes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import CaseArgument, JsonOption, ProductOption, RulesOption, app, print_data, rule_base
from advisor.cli.giving import OutOption, PaperOption, PaperSize, give


@app.command()
def causes(
    case: CaseArgument,
    as_json: JsonOption = False,
    full: Annotated[bool, typer.Option("--full", help="Everything, on as many screens as it takes.")] = False,
    handover: Annotated[
        bool,
        typer.Option("--handover", help="The page for customer, maker and crew: what was seen, and what is still due."),
    ] = False,
    say: Annotated[
        list[str] | None,
        typer.Option(metavar="FACT=VALUE", help="What is new or otherwise; may be given more than once."),
    ] = None,
    rules: RulesOption = None,
    product: ProductOption = None,
    paper: PaperOption = PaperSize.letter,
    out: OutOption = None,
) -> None:
    """Tell what went wrong with a floor: the causes that fit, the look that decides, and what helps."""
    from datetime import date

    from advisor.asking.causes import find_causes
    from advisor.asking.typed_answers import say_typed
    from advisor.demo import find_case
    from advisor.engines.reasoning import Reasoner
    from advisor.facts.case import read_case

    if out is not None:
        from advisor.pages.files import check_file

        check_file(Path(out))
    base, today = rule_base(rules, products=product), date.today()
    read = read_case(find_case(case), base, today)
    found = find_causes(Reasoner(base), say_typed(base, read, say, today) if say else read, today)
    if as_json:
        print_data(found)
    else:
        from advisor.pages.causes_page import causes_page, handover_page

        give(handover_page(base, found) if handover else causes_page(base, found, full), out, paper)
