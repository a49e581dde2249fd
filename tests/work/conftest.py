"""A garage of 440 ft2 (40.9 m2), bare and sound, and what is worked out for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

import pytest
from hypothesis import settings

from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, read_fact
from advisor.facts.memory import working_memory
from advisor.model.knowledge import RuleBase
from advisor.validation.loading import load_rulebase
from advisor.work.book_reading import demo_book, read_pricebook
from advisor.work.extent import measure
from advisor.work.job import Job
from advisor.work.pricebook import PriceBook
from advisor.work.settle import settle_job

TODAY = date(2026, 11, 25)
GARAGE = {
    "room": "garage",
    "area": "440 ft2",
    "on_floor": "bare",
    "oil_stains": "none",
    "cracks": "none",
    "spalls": "none",
    "helpers": "1",
    "mixed_coatings_before": "few_times",
    "floor_machine_before": "few_times",
    "handled_acid_before": "few_times",
    "air_temperature": "70 F",
    "who_works": "self",
}

settings.register_profile("takeoff", deadline=None, max_examples=40)
settings.load_profile("takeoff")

MakeCase = Callable[..., Case]
MakeJob = Callable[..., Job]


@pytest.fixture(scope="session")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="session")
def reasoner(base: RuleBase) -> Reasoner:
    return Reasoner(base)


@pytest.fixture(scope="session")
def book(base: RuleBase) -> PriceBook:
    return read_pricebook(demo_book(), base, TODAY)


@pytest.fixture(scope="session")
def make_case(base: RuleBase) -> MakeCase:
    """The garage, with facts changed or (None) taken out."""

    def make(**changed: str | None) -> Case:
        texts: Mapping[str, str | None] = {**GARAGE, **changed}
        facts = {name: read_fact(base, name, text, name) for name, text in texts.items() if text is not None}
        return Case("garage (invented)", "", facts)

    return make


@pytest.fixture(scope="session")
def make_job(base: RuleBase, make_case: MakeCase) -> MakeJob:
    """A job on the garage: finish, hired or not, people, rooms, and changed facts."""

    def make(
        finish: str,
        hired: bool = False,
        people: int | None = None,
        rooms: tuple[str, ...] = (),
        first: tuple[str, ...] = (),
        **changed: str | None,
    ) -> Job:
        facts = working_memory(base, make_case(**changed).facts)
        return settle_job(base, facts, finish, measure(rooms, "0 %", facts, base), hired, people, first)

    return make
