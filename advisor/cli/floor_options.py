"""The options that all verbs about the work on one floor share, said once."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import MISSING, dataclass, fields
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, get_type_hints

import typer

from advisor.cli.app import CaseArgument, ProductOption, RulesOption, UnitsOption, rule_base
from advisor.cli.giving import OutOption, PaperOption, PaperSize, PricesOption, RoomOption
from explanations.wording import wording

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from advisor.work.takeoff import TakeOff


@dataclass(frozen=True)
class Asked:
    """What such a verb is asked: about which floor, by which prices and rules, and where the page goes."""

    case: CaseArgument
    room: RoomOption = None
    slope: Annotated[str, typer.Option(help="Slope of the floor, as '2 %'.")] = "0 %"
    prices: PricesOption = None
    people: Annotated[int | None, typer.Option(help="How many people work.")] = None
    units: UnitsOption = None
    paper: PaperOption = PaperSize.letter
    out: OutOption = None
    rules: RulesOption = None
    product: ProductOption = None

    def study(self, picture: Path | None = None) -> TakeOff:
        """Where materials, cost and days begin; what is said from now on is said in the units of its reader.

        Raises:
            CannotWrite: the page or the picture could not be written; told before anything is worked out.
        """
        from datetime import date

        from advisor.demo import find_case
        from advisor.engines.reasoning import Reasoner
        from advisor.facts.case import read_case
        from advisor.work.takeoff import begin
        from explanations.reading import write_for

        self._check(picture)
        base, today = rule_base(self.rules, products=self.product), date.today()
        study = begin(
            Reasoner(base),
            read_case(find_case(self.case), base),
            today,
            self.room or (),
            self.slope,
            self.prices,
            self.people,
            self.units.value if self.units else None,
        )
        write_for(study.reading)
        return study

    def drawn(self, picture: Path | None, draw: Callable[[], Figure | None]) -> str:
        """A figure as SVG for the page, and saved where it is asked for; nothing is drawn that nobody would see."""
        if not picture and (self.out is None or self.out.suffix == ".md"):
            return ""
        from advisor.charts.plots import as_svg, save

        figure = draw()
        if figure is None:
            return ""
        if picture:
            save(figure, picture)
        return as_svg(figure)

    def _check(self, picture: Path | None) -> None:
        from advisor.charts.plots import check_plot
        from advisor.pages.files import check_file
        from explanations.errors import CannotWrite

        if self.out:
            check_file(self.out)
        if picture:
            check_plot(picture)
            if self.out and self.out.resolve() == picture.resolve():
                raise CannotWrite(picture, wording("plan.two_files"))


def about_a_floor(verb: Callable[..., None]) -> Callable[..., None]:
    """Give a verb the options that all of these share; it takes them together, as `asked`."""
    hints = get_type_hints(Asked, include_extras=True)
    case, *shared = (
        inspect.Parameter(
            each.name,
            inspect.Parameter.POSITIONAL_OR_KEYWORD,
            default=inspect.Parameter.empty if each.default is MISSING else each.default,
            annotation=hints[each.name],
        )
        for each in fields(Asked)
    )
    _, *own = inspect.signature(verb, eval_str=True).parameters.values()

    @wraps(verb)
    def told(**given: object) -> None:
        asked = {each.name: given.pop(each.name) for each in (case, *shared)}
        verb(Asked(**asked), **given)  # type: ignore[arg-type]  # as typer read them, by the hints above

    parameters = [case, *own, *shared]
    told.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    told.__annotations__ = {each.name: each.annotation for each in parameters}
    return told
