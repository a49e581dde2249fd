"""What a job costs: whole packs, consumables, hire and labour, low and high, and what drives the range."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from advisor.errors import AdvisorError, Fault
from advisor.physics.bounds import Interval
from advisor.work.job import Job
from advisor.work.needed import to_buy
from advisor.work.pace import crew_hours, hire_days, night_pay
from advisor.work.packs import Choice, choose_packs
from advisor.work.pricebook import LABOUR, Article, PriceBook, rates, serving
from advisor.work.settings import AREA, EDGES, HIGH, LOW, NIGHT, PACE, PROFILE, TRAVEL, WASTE, Setting, Work, need_of
from advisor.work.spots import share_of
from explanations.wording import label, wording

PARTS = ("tests", "material", "consumables", "protection", "hire", "labour")
GOODS_AND_HIRE = PARTS[:-1]
PART_OF = {"material": "material", "consumable": "consumables", "protection": "protection", "test": "tests"}
RISE, RATE = "rise", "rate"


class Unpriced(AdvisorError):
    """The price book lacks something that the work needs; no cost is given with a hole in it."""


@dataclass(frozen=True)
class Line:
    """One line of a list: what is needed, the packs chosen, what they cost and what is left over."""

    name: str  # of the material or hire item
    words: str
    part: str  # one of PARTS
    unit: str
    need: float
    articles: tuple[Article, ...]
    choice: Choice
    cost: float  # in the currency, tax as the book says

    @property
    def left_over(self) -> float:
        """What remains after the work, in the unit."""
        return self.choice.left_over(self.need)


@dataclass(frozen=True)
class Cost:
    """A cost by parts, in the book's currency."""

    tests: float = 0.0
    material: float = 0.0
    consumables: float = 0.0
    protection: float = 0.0
    hire: float = 0.0
    labour: float = 0.0

    @property
    def total(self) -> float:
        """All parts together."""
        return self.tests + self.material + self.consumables + self.protection + self.hire + self.labour

    def __add__(self, other: Cost) -> Cost:
        return Cost(*(getattr(self, part) + getattr(other, part) for part in PARTS))


@dataclass(frozen=True)
class Swing:
    """What one uncertain number does to the total while all others stand in the middle."""

    driver: str
    low: float
    high: float

    @property
    def width(self) -> float:
        """How far the total moves."""
        return abs(self.high - self.low)


def shopping(job: Job, book: PriceBook, setting: Setting = HIGH) -> list[Line]:
    """What to buy and hire; at the high setting, so that the list is not too short. A crew brings what it wears.

    Raises:
        Unpriced: naming everything that no row of the book serves.
    """
    return price(job, book, to_buy(job, setting), hire_days(job, setting))


def price(job: Job, book: PriceBook, needs: Mapping[str, float], days: Mapping[str, float]) -> list[Line]:
    """The lines for given amounts of materials and days of hire.

    Raises:
        Unpriced: naming everything that no row of the book serves.
    """
    base = job.base
    wanted = [("goods", name) for name in needs] + [("hire", name) for name in days]
    unpriced(book, wanted, job.hired, job.finish.name)
    lines = [
        _line(book, "goods", name, base.materials[name].name, base.materials[name].unit, _part(job, name), need)
        for name, need in needs.items()
    ]
    lines += [_line(book, "hire", name, base.hire[name].name, "days", "hire", need) for name, need in days.items()]
    return [line for line in lines if line.need > 0]


def _part(job: Job, name: str) -> str:
    return PART_OF[job.base.materials[name].kind]


def _line(book: PriceBook, group: str, name: str, words: str, unit: str, part: str, need: float) -> Line:
    articles = serving(book, group, name)
    choice = choose_packs(need, [each.pack for each in articles])
    return Line(name, words, part, unit, need, articles, choice, choice.price / 100.0 * book.taxes(group))


def unpriced(book: PriceBook, wanted: Iterable[tuple[str, str]], hired: bool, finish: str) -> None:
    """Refuse a job for which the book lacks a price.

    Raises:
        Unpriced: naming everything that no row of the book serves.
    """
    missing = [(group, name) for group, name in wanted if not serving(book, group, name)]
    if hired and not serving(book, "labour", LABOUR[0]):
        missing.append(("labour", LABOUR[0]))
    if missing:
        raise Unpriced(
            Fault(
                wording("cost.column_for", book=book.name),
                wording("cost.no_row", kind=group, item=name, finish=finish),
                remedy=wording("cost.add_row"),
            )
            for group, name in missing
        )


def cost(job: Job, book: PriceBook, setting: Setting) -> Cost:
    """The job's cost at one setting."""
    total = _sum(shopping(job, book, setting), 1.0 + setting.at(RISE, rise(job)))
    if job.hired:
        total = replace(total, labour=labour_cost(book, crew_hours(job, setting) * night_pay(job, setting), setting))
    return total


def labour_cost(book: PriceBook, time: float, setting: Setting) -> float:
    """What so many hours of a crew's people cost."""
    return float(time * setting.at(RATE, rates(serving(book, "labour", LABOUR[0]))) * book.taxes("labour"))


def rise(job: Work) -> Interval:
    """By how much goods and hire may cost more on the day than in the book, as a share."""
    return Interval(0.0, job.norm("price_spread").high / 100.0)


def _sum(lines: Iterable[Line], rise: float) -> Cost:
    parts = dict.fromkeys(PARTS, 0.0)
    for line in lines:
        parts[line.part] += line.cost * rise
    return Cost(**parts)


def priced(lines: Iterable[Line]) -> Cost:
    """What lines cost at the book's prices."""
    return _sum(lines, 1.0)


def cost_range(job: Job, book: PriceBook) -> tuple[Cost, Cost]:
    """Lowest and highest cost: the true ends over all that is uncertain."""
    return cost(job, book, LOW), cost(job, book, HIGH)


def drivers(job: Job) -> list[str]:
    """Every uncertain number that the cost depends on."""
    found = {AREA, EDGES, PROFILE, WASTE, PACE, RISE}
    if job.hired:
        found |= {TRAVEL, RATE, NIGHT} if job.by_night else {TRAVEL, RATE}
    for step in job.steps:
        found |= {f"amount:{name}" for name in step.uses}
        found |= {share_of(use.share) for use in step.uses.values() if use.share}
        found |= {share_of(step.task.spots)} if step.task.spots else set()
        if not step.certain:
            found.add(need_of(step))
    for need in job.first:
        if first := job.base.comes_first.get(need):
            found |= {f"amount:{name}" for name in first.uses}
    return sorted(found)


def driver_words(job: Job, driver: str) -> str:
    """What to call an uncertain number."""
    kind, _, name = driver.partition(":")
    titles = {step.id: step.title for step in job.steps}
    match kind:
        case "amount":
            return wording("cost.driver.amount", what=job.base.materials[name].name)
        case "share":
            return wording("cost.driver.share", what=label("fact", name))
        case "need":
            return wording("cost.driver.need", what=titles[name])
    return wording(f"cost.driver.{kind}")


def swings(job: Job, book: PriceBook) -> list[Swing]:
    """How far each uncertain number moves the total, widest first; those that do not move it are left out."""
    found = [
        Swing(
            driver_words(job, driver),
            cost(job, book, Setting(0.5, {driver: 0.0})).total,
            cost(job, book, Setting(0.5, {driver: 1.0})).total,
        )
        for driver in drivers(job)
    ]
    return sorted((each for each in found if each.width > 0.005), key=lambda swing: (-swing.width, swing.driver))
