"""Finishes side by side: one page, fair to each, with the ruled-out ones and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time

from advisor.model.advice import FinishStanding
from advisor.model.knowledge import Finish
from advisor.model.quantities import show
from advisor.model.reader import days_words
from advisor.pages.blocks import Block, Heading, Listing, Notice, Page, Paragraph, Picture, Table
from advisor.pages.lists import Figures, figures, upkeep_words
from advisor.pages.parts import TOLD, danger_words, footing, stops, too_long
from advisor.work.schedule import schedules
from advisor.work.skills import Skills, judge
from advisor.work.takeoff import TakeOff, hazards_of
from explanations.words import listing, sentence

MOST_UNASKED = 4
MOST_UPRIGHT = 4  # finishes that fit beside each other on an upright sheet
CHEMICALS = {
    "resists_food_acids": "food acids",
    "resists_strong_acids": "strong acids",
    "resists_alkalis": "alkalis",
    "resists_oil_and_fuel": "oil and fuel",
    "resists_solvents": "solvents",
    "resists_road_salt": "road salt",
    "resists_pool_chemicals": "pool chemicals",
    "resists_urine": "urine",
    "resists_hair_dye": "hair dye",
}


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
    place: str  # what is shut: the room, or outdoors the floor


def compared(study: TakeOff, named: Sequence[str], rate: float) -> list[Column]:
    """The finishes asked about, or the best that are not ruled out."""
    chosen = list(dict.fromkeys(study.chosen(each) for each in named))
    if not chosen:
        left = [each.finish for each in study.advice.standings if each.verdict != "ruled out"]
        chosen = left[:MOST_UNASKED] or [each.finish for each in study.advice.standings[:MOST_UNASKED]]
    return [_column(study, finish, rate) for finish in chosen]


def _column(study: TakeOff, finish: str, rate: float) -> Column:
    job = study.job(finish)
    start = datetime.combine(study.today, time(8))
    both = schedules(job, start)
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
        job.place.capitalize(),
    )


def compare_page(study: TakeOff, columns: Sequence[Column], picture: str = "", abreast: int = 6) -> Page:
    """The page: a table (so many finishes abreast), a picture of the ranges, and what is ruled out."""
    blocks = tuple(_compare(study, columns, picture, abreast))
    return Page(f"Side by side: {study.case.floor}", blocks, landscape=len(columns) > MOST_UPRIGHT)


def _compare(study: TakeOff, columns: Sequence[Column], picture: str, abreast: int) -> Iterator[Block]:
    yield Heading(f"Side by side: {study.case.floor}", 1)
    yield from stops(study)
    yield Paragraph(study.advice.answer.sentence, strong=True)
    shared = _shared(study, columns)
    for start in range(0, len(columns), abreast):
        some = columns[start : start + abreast]
        head = ("", *(each.finish.name for each in some))
        yield Table(head, tuple(_rows(study, some, shared)), frozenset(), (2, *[3] * len(some)))
    every = [each for each in hazards_of(study, columns[0].finish.id) if each.name in shared]
    yield Notice("Hazards whichever of these you choose", (danger_words(every), TOLD))
    if picture:
        yield Picture(picture, "Ranges of cost now, cost over the years, and days until full use.", 50)
    yield from _ruled_out(study, {each.finish.id for each in columns})
    yield from footing(study)


def _rows(study: TakeOff, columns: Sequence[Column], shared: set[str]) -> Iterator[tuple[str, ...]]:
    reader, area = study.reader, study.extent.area

    def row(name: str, cells: Iterator[str]) -> tuple[str, ...]:
        return (name, *cells)

    yield row("On your floor", (_verdict(study, each) for each in columns))
    yield row("What it is", (each.finish.what for each in columns))
    yield row("Look", (_look(each.finish) for each in columns))
    own = [each.figures.own for each in columns]
    hired = [each.figures.hired for each in columns]
    yield row("Cost, yourself", (reader.money(low.total, high.total) for low, high in own))
    yield row("By area", (reader.by_area(low.total, high.total, area) for low, high in own))
    yield row("Cost, hired", (reader.money(low.total, high.total) for low, high in hired))
    for years in (10, 20):
        yield row(f"Over {years} years", (reader.money(*each.figures.life[years]) for each in columns))
    yield row("How hard", (f"{_choice(each.finish, 'difficulty')}; crux: {_crux(each.skills)}" for each in columns))
    yield row(f"{columns[0].place} shut", (shut_words(study, each) for each in columns))
    yield row("Full use after", (days_words(*each.full_use) for each in columns))
    yield row("Lets vapour through", (_breathing(each.finish) for each in columns))
    yield row("Chemicals", (_chemicals(each.finish) for each in columns))
    yield row("Wear, vehicles", (_wear(each.finish) for each in columns))
    yield row("Grip when wet", (_choice(each.finish, "wet_grip") for each in columns))
    yield row("Further hazards", (danger_words(hazards_of(study, each.finish.id), shared) for each in columns))
    yield row("Upkeep", (f"{_choice(each.finish, 'upkeep')}: {each.upkeep}" for each in columns))


def shut_words(study: TakeOff, column: Column) -> str:
    """The days until one may walk on it, and those there are, where they may not be enough."""
    more = f"; you have {study.facts['days_shut'].shown}" if too_long(study, column.shut) else ""
    return f"{days_words(*column.shut)}{more}"


def _shared(study: TakeOff, columns: Sequence[Column]) -> set[str]:
    """The hazards that all of these finishes carry."""
    return set.intersection(*({each.name for each in hazards_of(study, column.finish.id)} for column in columns))


def _verdict(study: TakeOff, column: Column) -> str:
    standing = study.standing(column.finish.id)
    if standing.verdict == "ruled out":
        return f"ruled out: {standing.ruled_out_by[0].because}"
    if standing.verdict == "suits if":
        return f"suits if {len(standing.first)} thing{'s are' if len(standing.first) > 1 else ' is'} done first"
    return "suits"


def _choice(finish: Finish, name: str) -> str:
    return listing(each.replace("_", " ") for each in finish.properties[name].choices)


def _look(finish: Finish) -> str:
    return f"{_choice(finish, 'looks')}; {_choice(finish, 'glosses')}"


def _crux(skills: Skills) -> str:
    return skills.crux.step.title.lower()


def _breathing(finish: Finish) -> str:
    film = {"dense": "hardly", "thin": "some", "loose": "some", "none": "freely"}[finish.properties["film"].choices[0]]
    permeance = finish.properties["permeance"].interval
    return f"{film} ({show(permeance, 'perm')})" if permeance else film


def _chemicals(finish: Finish) -> str:
    by_class: dict[str, list[str]] = {}
    for name, words in CHEMICALS.items():
        by_class.setdefault(finish.properties[name].choices[0], []).append(words)
    return "; ".join(f"{each}: {', '.join(by_class[each])}" for each in ("good", "fair", "poor") if each in by_class)


def _wear(finish: Finish) -> str:
    vehicles = _choice(finish, "vehicle_class")
    return f"{_choice(finish, 'wear')} wear; {'no vehicles' if vehicles == 'none' else vehicles}"


def _ruled_out(study: TakeOff, shown: set[str]) -> Iterator[Block]:
    """Those ruled out by one rule are told together, so that the page stays one sheet."""
    alike: dict[str, list[FinishStanding]] = {}
    for each in study.advice.standings:
        if each.verdict == "ruled out" and each.finish not in shown:
            alike.setdefault(each.ruled_out_by[0].rule, []).append(each)
    if alike:
        yield Heading("Ruled out on this floor")
        yield Listing(tuple(sentence(_told_together(some)) for some in alike.values()))


def _told_together(some: Sequence[FinishStanding]) -> str:
    first, others = some[0], [each.name for each in some[1:]]
    told = f"{first.name}: {first.ruled_out_by[0].because}"
    if not others:
        return told
    wordings = {each.ruled_out_by[0].because.lower().replace(each.name.lower(), "") for each in some}
    figures = ", each by its own figures," if len(wordings) > 1 else ""
    return f"{told} The same goes{figures} for {listing(others)}."


def panels(columns: Sequence[Column], currency: str) -> dict[str, dict[str, list[tuple[float, float]]]]:
    """What the picture of ranges shows."""
    return {
        f"cost, {currency}": {
            "yourself": [(low.total, high.total) for low, high in (each.figures.own for each in columns)],
            "hired": [(low.total, high.total) for low, high in (each.figures.hired for each in columns)],
        },
        f"cost over 20 years, {currency}": {"as the case says": [each.figures.life[20] for each in columns]},
        "days": {
            "room shut": [each.shut for each in columns],
            "until full use": [each.full_use for each in columns],
        },
    }
