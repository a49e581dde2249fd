"""The rough prices of the finishes, derived from the take-off: `python -m tests.work.rough_prices` writes them anew.

Rules about money compare a budget with a straight line over the area: a fixed cost, and so much a square metre. Its
low end lies below the least that the take-off of any floor comes to, without tax and without what is worn (one may
have it), less a hundredth for the sizes between. Of all such lines it is the one that falls least short, in the worst
place, of what a bare, sound floor of a usual size takes. So no budget is called too small with which
`advisor cost` says the work may be had. Its high end runs through the middle of what a bare, sound floor may cost at
most.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
from scipy.optimize import linprog

from advisor.engines.columns import Floats, columns_of
from advisor.engines.computed_columns import working_columns
from advisor.facts.case import read_fact
from advisor.model.knowledge import RuleBase
from advisor.validation.loading import load_rulebase, rules_folder
from advisor.work.book_reading import demo_book, read_pricebook
from advisor.work.many_costs import costs_of
from advisor.work.pricebook import Article, PriceBook

AREAS = (3, 6, 9, 12, 16, 20, 25, 30, 40, 50, 65, 80, 110, 150, 200, 300, 400, 600, 900, 1000, 1500, 3000)  # m2
SOUND = {"on_floor": "bare", "exposure": "indoors", "oil_stains": "none", "cracks": "none", "spalls": "none"}
EASY = (  # where less is done than on a bare, sound floor indoors
    {},
    {"exposure": "open_air"},
    {"on_floor": "paint", "coating_bond": "sound", "exposure": "open_air"},
    {"on_floor": "overlay"},
    {"on_floor": "overlay", "topping_kind": "gypsum"},
)
USUAL = (9.0, 1000.0)  # m2
WHO = {"self": False, "hired": True}


def derived(base: RuleBase, book: PriceBook) -> Iterator[tuple[str, str, tuple[float, float], tuple[float, float]]]:
    """Of each finish, by oneself and by a crew: fixed cost [USD], and what each square metre adds [USD/m2]."""
    floors = [
        {name: read_fact(base, name, text, name) for name, text in {**SOUND, **easy, "area": f"{area} m2"}.items()}
        for easy in EASY
        for area in AREAS
    ]
    least, own = without_what_is_worn(base, replace(book, tax=0.0)), without_what_is_worn(base, book)
    working = working_columns(base, columns_of(base, floors), {})
    area = np.array(AREAS, float)
    for finish in base.finishes:
        for who, hired in WHO.items():
            low, _ = costs_of(base, least, working, finish, hired, np.arange(len(floors)))
            sound, _ = costs_of(base, own, working, finish, hired, np.arange(len(AREAS)))
            _, high = costs_of(base, book, working, finish, hired, np.arange(len(floors)))
            below, through = (
                _below(area, 0.99 * low.reshape(len(EASY), -1).min(axis=0), sound),
                _through(area, high[: len(AREAS)]),
            )
            fixed = math.floor(below[0] / 5) * 5.0, math.ceil(through[0] / 5) * 5.0
            yield finish, who, fixed, (math.floor(below[1] * 20) / 20, math.ceil(through[1] * 10) / 10)


def without_what_is_worn(base: RuleBase, book: PriceBook) -> PriceBook:
    """The prices of one who has gloves and masks."""
    worn = {name for name, each in base.materials.items() if each.kind == "protection"}
    had = {name: tuple(_given(each) for each in some) if name in worn else some for name, some in book.goods.items()}
    return replace(book, goods=had)


def _given(article: Article) -> Article:
    """The same at no price."""
    return replace(article, pack=replace(article.pack, price=0), price_high=0)


def _below(area: Floats, cost: Floats, sound: Floats) -> tuple[float, float]:
    """The line under all of them, least short in the worst place of what a sound floor takes, and then on the whole.

    Two linear programmes over fixed cost, cost of a metre and the worst share, which the second holds.
    """
    usual = (area >= USUAL[0]) & (area <= USUAL[1])
    under = np.column_stack([np.ones_like(area), area, np.zeros_like(area)])
    shares = np.column_stack([-1.0 / sound, -area / sound, np.ones_like(area)])[usual]
    limits = {"A_ub": np.vstack([under, shares]), "b_ub": np.concatenate([cost, np.zeros(usual.sum())])}
    worst = linprog([0.0, 0.0, -1.0], **limits).x[2]
    whole = [-(1.0 / cost).sum(), -(area / cost).sum(), 0.0]
    fit = linprog(whole, bounds=[(0.0, None), (0.0, None), (worst - 1e-3, None)], **limits)
    return float(fit.x[0]), float(fit.x[1])


def _through(area: Floats, cost: Floats) -> tuple[float, float]:
    """The line with the least squares of what each is off, in shares of it."""
    line = np.linalg.lstsq(np.column_stack([1 / cost, area / cost]), np.ones_like(area))[0]
    return float(line[0]), float(line[1])


def main() -> None:
    """Write them into the files of the finishes."""
    base = load_rulebase()
    book = read_pricebook(demo_book(), base, date.today())
    for finish, who, fixed, each in derived(base, book):
        file = next(path for path in rules_folder().rglob(f"{finish}.yaml") if path.parent.name == "finishes")
        text = _set(file, f"{who}_cost", f"{each[0]:g} to {each[1]:g} usd_m2")
        file.write_text(text, encoding="utf-8")
        file.write_text(_set(file, f"{who}_fixed_cost", f"{fixed[0]:g} to {fixed[1]:g} usd"), encoding="utf-8")


def _set(file: Path, name: str, figure: str) -> str:
    return re.sub(rf"(?m)^(  {name}: {{is: )[^,]*", rf"\g<1>{figure}", file.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
