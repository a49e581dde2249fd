"""What a program may ask: the bodies of requests to `/api/v1`, by the verb of the command line that answers alike."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.errors import BadRequest, Fault, nearest
from advisor.model.reader import System
from advisor.survey.record import MOST_FLOORS
from advisor.web.own import LARGEST_BOOK, MOST_SHEETS
from explanations.wording import wording

MOST_ROOMS, MOST_FINISHES, MOST_TURNED, MOST_ROWS = 20, 6, 3, 3000
MOST_WEIGHED = 200  # floors; each takes some 20 ms


class Form(BaseModel):
    """What a program sends, and nothing that is not asked for here."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class ByProducts(Form):
    """With products beside the finishes."""

    product: tuple[dict[str, Any], ...] = Field(
        default=(),
        max_length=MOST_SHEETS,
        description="Makers' data sheets, each as its file: `product`, `like`.",
    )


class ByPrices(Form):
    """With prices of one's own."""

    prices: str = Field(default="", max_length=LARGEST_BOOK, description="A price book, as the text of its .csv file.")


class OfFloor(ByProducts):
    """A floor."""

    case: dict[str, Any] = Field(description="As a case file: `floor`, `note`, `facts`; see the schema of a case.")


class ForReader(OfFloor):
    """A floor, and who reads of it."""

    units: System | None = Field(default=None, description="Units to write; else those of the floor's country.")


class Advise(ForReader, ByPrices):
    """To be advised."""

    rooms: tuple[str, ...] = Field(default=(), max_length=MOST_ROOMS, description="Each as `20 ft x 22 ft`.")


class Causes(OfFloor):
    """What went wrong."""


class Next(ForReader):
    """What to ask next."""


class Revise(ForReader):
    """What new facts change."""

    say: dict[str, str] = Field(min_length=1, description="Values by fact; `unknown` withdraws what was said.")


class Why(ForReader):
    """Why the answer is so, why a finish stands where it does, or why one and not another."""

    finish: str | None = Field(default=None, description="A finish, or a cause of what went wrong, by id or name.")
    other: str | None = Field(default=None, description="A second finish: why the first and not this one.")
    rule: str = Field(default="", description="A rule: which of its conditions failed, and by how much.")


class Turn(ForReader):
    """What would turn the answer, or bring a finish back."""

    finish: str | None = None
    first: bool = Field(default=False, description="The finish must come first, not only come back.")
    most: int = Field(default=MOST_TURNED, ge=1, le=MOST_TURNED, description="Facts that may change together.")
    everything: bool = Field(default=False, description="All that works, not only the cheapest few.")


class Work(Advise):
    """What a finish takes."""

    slope: str = Field(default="0 %", description="Of the floor.")
    people: int | None = Field(default=None, ge=1, le=50, description="Who work.")


class Materials(Work):
    """What to buy and hire."""

    finish: str | None = Field(default=None, description="The leading one if not named.")


class Cost(Materials):
    """What it costs."""

    against: str | None = Field(default=None, description="Another finish, for the break-even year.")
    rate: str | None = Field(default=None, description="Real discount rate a year, as `3 %`.")


class Plan(Materials):
    """Steps and days."""

    start: str | None = Field(default=None, description="First day, as 2026-12-01; tomorrow if not given.")
    weather: tuple[dict[str, str | float], ...] = Field(
        default=(),
        max_length=MOST_ROWS,
        description="A row an hour (`time`, `air_c` or `air_f`, `humidity`, `slab_c` if measured) or a month "
        "(`month`, `day_c`, `night_c`, `day_humidity`, `night_humidity`).",
    )
    weekdays: bool | None = Field(
        default=None, description="From Monday to Friday only, or every day; else a crew keeps its weekend."
    )


class Care(Materials):
    """How a finish is kept."""


class Quote(Work):
    """A contractor's quote to be checked."""

    quote: dict[str, Any] = Field(description="As a quote's file: `finish`, `area`, `coats`, `price`, ...")


class Sheet(Form):
    """A small calculation."""

    sheet: str = Field(description="The worksheet.")
    inputs: dict[str, str] = Field(default={}, description="Each with its unit, as `20 C`.")
    units: System | None = Field(default=None, description="Units to write; else those of the inputs.")


class Compare(Work):
    """Finishes side by side."""

    finishes: tuple[str, ...] = Field(default=(), max_length=MOST_FINISHES, description="The best four if none.")
    rate: str | None = Field(default=None, description="Real discount rate a year, as `3 %`.")


class Survey(ByProducts, ByPrices):
    """A small table of floors."""

    floors: tuple[dict[str, str | float | bool | None], ...] = Field(
        min_length=1,
        max_length=MOST_FLOORS,
        description="A row a floor: facts as the columns of a table (`area`, `area [ft2]`), and `floor`, its name.",
    )
    weigh: bool = Field(
        default=False, description=f"Find what to ask next as `next` does, for at most {MOST_WEIGHED} floors."
    )


FORMS: dict[str, type[Form]] = {
    "advise": Advise,
    "causes": Causes,
    "next": Next,
    "revise": Revise,
    "why": Why,
    "turn": Turn,
    "materials": Materials,
    "cost": Cost,
    "plan": Plan,
    "compare": Compare,
    "care": Care,
    "quote": Quote,
    "work": Sheet,
    "survey": Survey,
}


# What is looked up in the rule base: by which fields of the address, and whether each may be said several times.
LOOKED_UP: dict[str, dict[str, bool]] = {
    "facts": {"fact": True},
    "rules": {"word": True, "topic": False},
    "rule": {"id": False},
    "sources": {"id": True},
    "lessons": {"topic": True, "causes": False},
    "audit": {"claim": True},
}


class Wrong(BaseModel):
    """One thing that is wrong with what was sent."""

    where: str = Field(description="The entry of the request, or the fact.")
    says: str
    given: str = Field(description="What was given, as far as one entry is meant; else empty.")
    allowed: str
    find_out: str = Field(description="How to find the right value.")
    remedy: str


class Problem(BaseModel):
    """Why there is no answer, as RFC 9457 has it; `faults` is the member of its own."""

    type: str = Field(description="What kind of problem, as an address.")
    title: str
    status: int
    detail: str
    faults: tuple[Wrong, ...] = ()
    format: Literal["slab-finish-problem/1"] = "slab-finish-problem/1"


def read_request(verb: str, content: dict[str, Any]) -> Form:
    """A body as the request of a verb.

    Raises:
        BadRequest: with every entry that is not what it must be.
    """
    form = FORMS[verb]
    try:
        return form.model_validate(content)
    except ValidationError as error:
        raise BadRequest([_fault(form, each["type"], each["loc"]) for each in error.errors()]) from None


def read_looked_up(what: str, fields: Mapping[str, tuple[str, ...]]) -> None:
    """Refuse fields that an address does not have, or that are said too often.

    Raises:
        BadRequest: with every one.
    """
    known = LOOKED_UP[what]
    faults = [
        Fault(name, wording("web_api.extra", name=name[:60]), ", ".join(known), nearest(name, known))
        for name in fields
        if name not in known
    ]
    faults += [
        Fault(name, wording("web_api.once", name=name))
        for name, several in known.items()
        if len(fields.get(name, ())) > 1 and not several
    ]
    if faults:
        raise BadRequest(faults)


def _fault(form: type[Form], kind: str, place: tuple[int | str, ...]) -> Fault:
    name = str(place[0]) if place else ""
    known = ", ".join(form.model_fields)
    if kind == "extra_forbidden":
        return Fault(name, wording("web_api.extra", name=name[:60]), known, nearest(name, form.model_fields))
    if kind == "missing":
        return Fault(name, wording("web_api.missing", name=name), known)
    field = form.model_fields.get(name)
    return Fault(name, wording("web_api.misformed", name=name), field.description or "" if field else known)
