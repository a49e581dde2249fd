"""The verb that shows all of it in a browser: serve."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import ProductOption, RulesOption, app, rule_base
from advisor.cli.giving import PricesOption


@app.command()
def serve(
    address: Annotated[str, typer.Option(help="Where to listen; other than this machine needs a secret.")] = (
        "127.0.0.1"
    ),
    port: Annotated[int, typer.Option(min=0, max=65535, help="0 for any that is free.")] = 8765,
    secret: Annotated[
        Path | None,
        typer.Option(help="A file whose first line visitors must know; a proxy sends it as Authorization: Bearer."),
    ] = None,
    name: Annotated[
        list[str] | None, typer.Option("--name", help="A further name of this machine; may be given more than once.")
    ] = None,
    open_browser: Annotated[bool, typer.Option("--open", help="Open it in this machine's browser.")] = False,
    shop: Annotated[Path | None, typer.Option(help="Who writes the letters: as for the verb letter.")] = None,
    prices: PricesOption = None,
    rules: RulesOption = None,
    product: ProductOption = None,
) -> None:
    """Serve the page: the same adviser in a browser, on this machine alone unless a secret is stated."""
    from datetime import date

    from advisor.pages.shop import NOBODY, read_shop
    from advisor.work.book_reading import read_pricebook
    from explanations.errors import CannotExplain
    from explanations.wording import wording

    try:
        from advisor.web.asked import House
        from advisor.web.serving import check_address, read_secret
        from advisor.web.serving import serve as listen
    except ModuleNotFoundError as error:
        raise CannotExplain(wording("web.serve.not_installed", package=error.name)) from None
    known = read_secret(secret)
    check_address(address, known)
    base = rule_base(rules, products=product)
    house = House(read_shop(shop) if shop else NOBODY, prices)
    if prices:
        read_pricebook(prices, base, date.today())
    listen(base, address, port, known, tuple(name or ()), open_browser, lambda line: typer.echo(line), house)
