"""A case: one floor's facts as somebody wrote them down, read against the vocabulary."""

from __future__ import annotations

from collections.abc import Container, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import PurePath

from advisor.errors import MOST_TOLD, BadCase, Fault, nearest
from advisor.facts.case_form import read_form
from advisor.facts.complaints import told_by_complaints
from advisor.facts.implied import with_implied
from advisor.facts.rooms import BadRoom, read_room
from advisor.facts.setting_aside import SetAside, doubts, outdated, without
from advisor.facts.statements import Statement, read_statement
from advisor.model.contradictions import asked, contradicted
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import UNITS, NotAQuantity, read_quantity, show, spell_units, write
from advisor.model.reader import reading_of
from advisor.model.values import Value, choice, number, unknown
from advisor.model.vocabulary import FactKind
from advisor.rulebase.documents import Document, read_document
from advisor.rulebase.rule_values import spelled
from advisor.sent import File
from explanations.reading import measuring, reading
from explanations.wording import label, wording
from explanations.words import in_short, visible

LONGEST_VALUE = 200  # characters; no fact needs more


@dataclass(frozen=True)
class Case:
    """A floor: its name, a note, and the facts that were stated (unknown ones included).

    Attributes:
        floor: its name.
        note: anything else; not reasoned about.
        facts: those to reason from; what was set aside is unknown in them.
        stated: what was said, word for word.
        set_aside: why some of it is not reasoned from.
        doubted: the values set aside because they hardly go together.
        outdated: the values set aside because they are too old.
        rooms: its rooms by their dimensions, each as `20 ft x 22 ft`.
    """

    floor: str
    note: str
    facts: Mapping[str, Value]
    stated: Mapping[str, Statement] = field(default_factory=dict)
    set_aside: tuple[SetAside, ...] = ()
    doubted: Mapping[str, Value] = field(default_factory=dict)
    outdated: Mapping[str, Value] = field(default_factory=dict)
    rooms: tuple[str, ...] = ()

    @property
    def as_read(self) -> dict[str, Value]:
        """The facts that count by their age, as they were read: those in doubt too."""
        return {**self.facts, **self.doubted}

    def statement(self, name: str) -> Statement:
        """What was said of a fact that is known, or would be to say the same."""
        value = self.as_read[name]
        return self.stated.get(name) or Statement(value.typed if value.known else UNKNOWN)


def read_case(path: File, base: RuleBase, today: date | None = None) -> Case:
    """Read and check a case file.

    Args:
        path: the file.
        base: for the vocabulary.
        today: the date against which tests age; the current one if not given.

    Raises:
        BadFile: not a readable YAML, JSON or TOML file.
        BadCase: with every fault found.
    """
    document, today = read_document(path), today or date.today()
    file = read_form(document, base)
    faults: list[Fault] = []
    said: dict[str, Statement] = {}
    for name, entry in file.facts.items():
        try:
            said[name] = read_statement(name, entry, document.where("facts", name), today)
        except BadCase as error:
            faults += error.faults
    rooms = tuple(visible(each) for each in file.rooms)
    try:
        if rooms and "area" not in said:
            said["area"] = _area_of(rooms, document)
    except BadRoom as error:
        faults += error.faults
    blank = Case(file.floor or visible(PurePath(path.name).stem.replace("_", " ")), file.note or "", {}, rooms=rooms)
    try:
        case = say(base, blank, said, today, document)
    except BadCase as error:
        faults += error.faults
    if faults:
        raise BadCase(faults)
    return case


def _area_of(rooms: tuple[str, ...], document: Document) -> Statement:
    """What the rooms come to.

    Raises:
        BadRoom: one cannot be read, or is nothing.
    """
    area = sum(read_room(text, document.where("rooms", str(place))).area for place, text in enumerate(rooms))
    return Statement(f"{area:.2f} m2")


def make_case(base: RuleBase, stated: Mapping[str, Statement], today: date, floor: str = "", note: str = "") -> Case:
    """A case of which this was said, and nothing else.

    Raises:
        BadCase: with every fault found.
    """
    return say(base, Case(floor, note, {}), stated, today)


def say(
    base: RuleBase, case: Case, said: Mapping[str, Statement], today: date, document: Document | None = None
) -> Case:
    """A case with further facts stated, or stated anew: the one way in which what somebody says becomes a case.

    Each is read; what cannot be true together is refused; what is out of date, or hardly goes together, is set aside.

    Args:
        base: for the vocabulary.
        case: what was said before.
        said: what is said now.
        today: the date against which tests age.
        document: where it stands, for the messages.

    Raises:
        BadCase: with every fault found; the case is as it was.
    """
    said = {**_said_too(base, case, said), **said}
    stated = {**case.stated, **said}
    with measuring(reading_of(base, _country(base, case, said))):  # messages too are in the reader's units and money
        read = _read(base, case, said, stated, document)
    old = list(outdated(base, stated, read, today))
    current = without(base, read, old)
    doubted = doubts(base, current)
    return Case(
        case.floor,
        case.note,
        without(base, current, doubted),
        stated,
        (*old, *doubted),
        {name: current[name] for each in doubted for name in each.facts},
        {name: read[name] for each in old for name in each.facts},
        case.rooms,
    )


def _said_too(base: RuleBase, case: Case, said: Mapping[str, Statement]) -> dict[str, Statement]:
    """What the words for one fact say of others that nobody stated: `hot tire pickup` also tells where it came off."""
    found: dict[str, Statement] = {}
    for name, statement in said.items():
        words = base.facts[name].says_too.get(spelled(statement.text), {}) if name in base.facts else {}
        found |= {other: replace(statement, text=value) for other, value in words.items() if other not in case.stated}
    return found


def _country(base: RuleBase, case: Case, said: Mapping[str, Statement]) -> Mapping[str, Value]:
    """Where the floor is, as far as that can be read."""
    if "country" not in said:
        return case.facts
    with suppress(BadCase):  # told where it is read with the others
        return {"country": read_fact(base, "country", said["country"].text, "")}
    return {}


def _read(
    base: RuleBase,
    case: Case,
    said: Mapping[str, Statement],
    stated: Mapping[str, Statement],
    document: Document | None,
) -> Mapping[str, Value]:
    """All facts, with what follows from what was said.

    Raises:
        BadCase: with every fault found.
    """
    faults: list[Fault] = []
    read = {**case.facts, **case.doubted, **case.outdated}
    for name, statement in said.items():
        if name not in base.facts and len(faults) > MOST_TOLD:  # its hint would be dear, and unseen
            faults.append(Fault(_where(document, name), wording("facts.no_fact", name=name)))
            continue
        try:
            value = read_fact(base, name, statement.text, _where(document, name))
            read[name] = replace(value, note=statement.source) if value.known else value
        except BadCase as error:
            faults += error.faults
    read = told_by_complaints(base, _asked_in_vain(base, read, stated), stated)
    read = with_implied(base, read, stated)
    if not faults:
        faults += _contradictions(base, read, document)
    if faults:
        raise BadCase(faults)
    return read


def _asked_in_vain(base: RuleBase, facts: Mapping[str, Value], stated: Container[str]) -> dict[str, Value]:
    """Said to be unknown is more than not said: where it matters, the fact that nobody can tell is a fact itself."""
    found = dict(facts)
    for name, kind in base.facts.items():
        companion = kind.unknown_means
        if companion and name in facts and companion not in stated:
            if facts[name].known:
                found.pop(companion, None)
            else:
                found[companion] = choice("yes")
    return found


def _where(document: Document | None, name: str) -> str:
    return document.where("facts", name) if document else name


def read_fact(base: RuleBase, name: str, text: str | None, where: str) -> Value:
    """Read one fact by its kind in the vocabulary.

    Raises:
        BadCase: naming the fact, what was given, what is allowed, and how to find the right value.
    """
    kind = base.facts.get(name)
    if kind is None:
        raise BadCase(
            [
                Fault(
                    where,
                    wording("facts.no_fact", name=name),
                    remedy=f"{nearest(name, base.facts)} {wording('facts.all_facts')}".strip(),
                )
            ]
        )
    if not kind.ask:
        given = ", ".join(kind.computed.inputs) if kind.computed else ""
        remedy = wording("facts.give_instead", facts=given)
        raise BadCase([Fault(where, wording("facts.worked_out", name=name), remedy=remedy)])
    text = " ".join((text or UNKNOWN).split())
    if text.lower() == UNKNOWN:
        return unknown(kind)
    shown = visible(text if len(text) <= 60 else f"{text[:57]}...")
    if len(text) > LONGEST_VALUE:
        raise BadCase([_misfit(base, kind, name, shown, wording("facts.too_long"), where)])
    if kind.type == "number":
        text = next((known for known, others in kind.also.items() if spelled(text) in others), text)
        try:
            return _number(base, kind, text)
        except NotAQuantity as error:
            raise BadCase([_misfit(base, kind, name, shown, str(error), where)]) from None
    value = spelled(text)
    value = next((known for known, others in kind.also.items() if value in others), value)
    if kind.type == "yes/no":
        value = {"true": "yes", "false": "no"}.get(value, value)
    if value not in kind.choices:
        what, hint = wording("facts.no_value"), nearest(value, kind.choices)
        why = wording("facts.value_hint", what=what, hint=hint).strip()
        raise BadCase([_misfit(base, kind, name, shown, why, where)])
    return choice(value)


def _number(base: RuleBase, kind: FactKind, text: str) -> Value:
    rates = {each: currency.worth for currency in base.currencies.values() for each in currency.names}
    interval = read_quantity(text, kind.unit, kind.plausible, kind.several, rates)
    if UNITS[kind.unit].whole and any(end % 1 for end in (interval.low, interval.high)):
        raise NotAQuantity(wording("quantity.fraction"))
    if kind.several != "span" and read_quantity(text, kind.unit, kind.plausible) != interval:
        text = wording("facts.counts", text=text, which=kind.several)
    told = text.casefold()
    used = kind.unit == "usd" and max((each for each in rates if each.casefold() in told), key=len, default="")
    if not used:
        return number(interval, kind.unit, said=text)
    currency = next(each for each in base.currencies.values() if used in each.names)
    rate = wording("facts.rate", currency=used, worth=write(currency.worth, "usd"), of=currency.of)
    return number(interval, kind.unit, said=f"{text} ({rate})", rate=rate)


def _misfit(base: RuleBase, kind: FactKind, name: str, text: str, why: str, where: str) -> Fault:
    return Fault(
        where,
        wording("facts.misfit", name=name, given=in_short(text), why=why),
        describe_allowed(base, kind),
        wording("facts.find_out", how=kind.find_out),
        wording("facts.misfit_plain", given=in_short(text), why=why),
    )


def describe_allowed(base: RuleBase, kind: FactKind) -> str:
    """What a fact may be given as, in one line; to a reader, in theirs."""
    if kind.type != "number":
        return wording("facts.choices", values=", ".join(kind.choices), unknown=UNKNOWN)
    units = spell_units(kind.unit)
    if kind.unit == "usd":
        mine = reader.currency if (reader := reading()) else units
        units = ", ".join(dict.fromkeys([mine, units, *(each.names[0] for each in base.currencies.values())]))
    span = show(kind.plausible, kind.unit)
    return wording("facts.numbers", range=span, units=units, unknown=UNKNOWN)


def _contradictions(base: RuleBase, facts: Mapping[str, Value], document: Document | None) -> list[Fault]:
    found = []
    for contradiction in contradicted(base, facts):
        involved = asked(base, contradiction).facts
        stated = ", ".join(
            wording("facts.as_stated", fact=name, name=label("fact", name), value=facts[name].shown)
            for name in base.facts
            if name in involved
        )
        found.append(
            Fault(
                _where(document, next(iter(contradiction.when))),
                wording("facts.contradiction", says=contradiction.says, stated=stated),
                remedy=wording("facts.one_is_wrong"),
            )
        )
    return found
