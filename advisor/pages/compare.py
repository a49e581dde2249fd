"""Finishes side by side: one page, fair to each, with the ruled-out ones and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from advisor.answer.kind_words import sheet_words
from advisor.model.finishes import Finish
from advisor.model.quantities import show
from advisor.model.reader import days_words
from advisor.model.standing import FinishStanding
from advisor.pages.blocks import Block, Heading, Listing, Notice, Page, Paragraph, Picture, Table
from advisor.pages.lists import Figures, figures, upkeep_words
from advisor.pages.parts import danger_words, footing, stops, too_long
from advisor.work.fit import fitted
from advisor.work.schedule import first_day, schedules
from advisor.work.skills import Skills, judge
from advisor.work.takeoff import TakeOff, hazards_of
from explanations.wording import label, listed, wording
from explanations.words import sentence

MOST_UNASKED = 4
MOST_UPRIGHT = 4  # finishes that fit beside each other on an upright sheet
RESISTS = "resists_"  # how the properties begin that say what a finish resists


@dataclass(frozen=True)
class Column:
    """All that is compared of one finish."""

    finish: Finish
    verdict: str
    figures: Figures
    skills: Skills
    shut: tuple[float, float]  # days
    full_use: tuple[float, float]  # days
    upkeep: str
    place: str  # what is shut: `room`, or outdoors `floor`; `part` where it is done in parts


def compared(study: TakeOff, named: Sequence[str], rate: float) -> list[Column]:
    """The finishes asked about, or the best that are not ruled out."""
    chosen = list(dict.fromkeys(study.chosen(each) for each in named))
    if not chosen:
        left = [each.finish for each in study.advice.standings if each.verdict != "ruled out"]
        chosen = left[:MOST_UNASKED] or [each.finish for each in study.advice.standings[:MOST_UNASKED]]
    return [_column(study, finish, rate) for finish in chosen]


def _column(study: TakeOff, finish: str, rate: float) -> Column:
    job = study.job(finish)
    both = schedules(job, first_day(job, study.today))
    shut = [each.days_shut or 0.0 for each in both]
    vehicles = job.finish.properties["vehicle_class"].choices != ("none",)
    uses = ("furniture", "vehicles") if vehicles else ("furniture",)
    full = [(max(each.ready[name] for name in uses) - each.start).total_seconds() / 86400 for each in both]
    return Column(
        job.finish,
        study.standing(finish).verdict,
        figures(study, finish, rate),
        judge(job),
        (shut[0], shut[1]),
        (full[0], full[1]),
        upkeep_words(job),
        job.place,
    )


def compare_page(study: TakeOff, columns: Sequence[Column], picture: str = "", abreast: int = 6) -> Page:
    """The page: a table (so many finishes abreast), a picture of the ranges, and what is ruled out."""
    blocks = tuple(_compare(study, columns, picture, abreast))
    return Page(wording("compare.title", floor=study.case.floor), blocks, landscape=len(columns) > MOST_UPRIGHT)


def _compare(study: TakeOff, columns: Sequence[Column], picture: str, abreast: int) -> Iterator[Block]:
    yield Heading(wording("compare.title", floor=study.case.floor), 1)
    yield from stops(study)
    yield Paragraph(fitted(study).advice.opening, strong=True)
    shared = _shared(study, columns)
    for start in range(0, len(columns), abreast):
        some = columns[start : start + abreast]
        head = ("", *(each.finish.name for each in some))
        yield Table(head, tuple(_rows(study, some, shared)), frozenset(), (2, *[3] * len(some)))
    every = [each for each in hazards_of(study, columns[0].finish.id) if each.name in shared]
    yield Notice(wording("compare.hazards"), (danger_words(every), wording("page.told")))
    if picture:
        yield Picture(picture, wording("compare.picture"), 50)
    yield from _ruled_out(study, {each.finish.id for each in columns})
    yield from footing(study)


def _rows(study: TakeOff, columns: Sequence[Column], shared: set[str]) -> Iterator[tuple[str, ...]]:
    reader, area = study.reader, study.extent.area

    def row(name: str, cells: Iterator[str], **more: object) -> tuple[str, ...]:
        return (wording(f"compare.row.{name}", **more), *cells)

    yield row("floor", (_verdict(study, each) for each in columns))
    yield row("what", (each.finish.what for each in columns))
    yield row("look", (_look(each.finish) for each in columns))
    own = [each.figures.own for each in columns]
    hired = [each.figures.hired for each in columns]
    yield row("own", (reader.money(low.total, high.total) for low, high in own))
    yield row("area", (reader.by_area(low.total, high.total, area) for low, high in own))
    yield row("hired", (reader.money(low.total, high.total) for low, high in hired))
    for years in (10, 20):
        yield row("years", (reader.money(*each.figures.life[years]) for each in columns), n=years)
    yield row("hard", (_hard(each) for each in columns))
    yield row("shut", (shut_words(study, each) for each in columns), place=columns[0].place)
    yield row("full_use", (days_words(*each.full_use) for each in columns))
    yield row("vapour", (_breathing(each.finish) for each in columns))
    yield row("chemicals", (_chemicals(study, each.finish) for each in columns))
    yield row("wear", (_wear(each.finish) for each in columns))
    yield row("grip", (_choice(each.finish, "wet_grip") for each in columns))
    yield row("hazards", (danger_words(hazards_of(study, each.finish.id), shared) for each in columns))
    if any(study.standing(each.finish.id).by_sheet for each in columns):
        yield row("sheet", (_by_sheet(study, each) for each in columns))
    yield row("upkeep", (_upkeep(each) for each in columns))


def shut_words(study: TakeOff, column: Column) -> str:
    """The days until one may walk on it, and those there are, where they may not be enough."""
    days = days_words(*column.shut)
    if not too_long(study, column.shut):
        return days
    return wording("compare.shut", days=days, allowed=study.facts["days_shut"].shown)


def _shared(study: TakeOff, columns: Sequence[Column]) -> set[str]:
    """The hazards that all of these finishes carry."""
    return set.intersection(*({each.name for each in hazards_of(study, column.finish.id)} for column in columns))


def _verdict(study: TakeOff, column: Column) -> str:
    standing = study.standing(column.finish.id)
    if standing.verdict == "ruled out":
        return wording("compare.verdict.ruled_out", why=standing.ruled_out_by[0].because)
    if standing.verdict == "suits if":
        return wording("compare.verdict.suits_if", n=len(standing.first))
    return wording("compare.verdict.suits")


def _by_sheet(study: TakeOff, column: Column) -> str:
    sheet = study.standing(column.finish.id).by_sheet
    return "; ".join(sheet_words(sheet)) if sheet else wording("product.no_sheet")


def _choice(finish: Finish, name: str) -> str:
    return listed(label("value", each) for each in finish.properties[name].choices)


def _look(finish: Finish) -> str:
    return wording("compare.pair", first=_choice(finish, "looks"), second=_choice(finish, "glosses"))


def difficulty_words(finish: Finish) -> str:
    """How hard it is."""
    return wording(f"compare.difficulty.{finish.properties['difficulty'].choices[0]}")


def _hard(column: Column) -> str:
    return wording("compare.hard", difficulty=difficulty_words(column.finish), crux=column.skills.crux.step.title)


def _upkeep(column: Column) -> str:
    return wording("compare.upkeep", upkeep=_choice(column.finish, "upkeep"), how=column.upkeep)


def film_words(finish: Finish) -> str:
    """How far it lets vapour through."""
    return wording(f"compare.film.{finish.properties['film'].choices[0]}")


def _breathing(finish: Finish) -> str:
    film, permeance = film_words(finish), finish.properties["permeance"].interval
    return wording("compare.vapour", film=film, permeance=show(permeance, "perm")) if permeance else film


def _chemicals(study: TakeOff, finish: Finish) -> str:
    """What it resists: the properties that say so, by how well, best first."""
    resists = {name: kind for name, kind in study.base.properties.items() if name.startswith(RESISTS)}
    by_class: dict[str, list[str]] = {each: [] for kind in resists.values() for each in kind.choices}
    for name in resists:
        by_class[finish.properties[name].choices[0]].append(label("property", name))
    return "; ".join(
        wording(f"compare.resists.{each}", what=", ".join(names)) for each, names in by_class.items() if names
    )


def _wear(finish: Finish) -> str:
    (vehicles,) = finish.properties["vehicle_class"].choices
    named = vehicles if vehicles == "none" else label("value", vehicles)
    return wording("compare.wear", wear=_choice(finish, "wear"), vehicles=named)


def _ruled_out(study: TakeOff, shown: set[str]) -> Iterator[Block]:
    """Those ruled out by one rule are told together, so that the page stays one sheet."""
    alike: dict[str, list[FinishStanding]] = {}
    for each in study.advice.standings:
        if each.verdict == "ruled out" and each.finish not in shown:
            alike.setdefault(each.ruled_out_by[0].rule, []).append(each)
    if alike:
        yield Heading(wording("compare.ruled_out"))
        yield Listing(tuple(sentence(_told_together(some)) for some in alike.values()))


def _told_together(some: Sequence[FinishStanding]) -> str:
    first, others = some[0], [each.name for each in some[1:]]
    wordings = {each.ruled_out_by[0].because.lower().replace(each.name.lower(), "") for each in some}
    key = "reason" if not others else "reason_each" if len(wordings) > 1 else "reason_alike"
    return wording(f"compare.{key}", finish=first.name, why=first.ruled_out_by[0].because, others=listed(others))


def panels(columns: Sequence[Column], currency: str) -> dict[str, dict[str, list[tuple[float, float]]]]:
    """What the picture of ranges shows."""
    return {
        wording("compare.panel.cost", currency=currency): {
            wording("compare.panel.own"): [
                (low.total, high.total) for low, high in (each.figures.own for each in columns)
            ],
            wording("compare.panel.hired"): [
                (low.total, high.total) for low, high in (each.figures.hired for each in columns)
            ],
        },
        wording("compare.panel.life", currency=currency): {
            wording("compare.panel.as_said"): [each.figures.life[20] for each in columns]
        },
        wording("compare.panel.days"): {
            wording("compare.panel.shut"): [each.shut for each in columns],
            wording("compare.panel.full_use"): [each.full_use for each in columns],
        },
    }
