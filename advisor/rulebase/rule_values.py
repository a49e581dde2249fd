"""Numbers and choices of the rule base read by their kind: plausible ranges of facts, and properties of finishes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from advisor.errors import Fault, nearest
from advisor.model.entry import Entry, Texts
from advisor.model.finishes import Finish, Property, PropertyValue
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import ANY_NUMBER, UNITS, NotAQuantity, read_figure
from advisor.model.vocabulary import FactKind
from explanations.wording import wording

Sections = dict[str, dict[str, Any]]
Where = Callable[..., str]
Found = Iterator[tuple[str, str, Fault]]  # section and id of what cannot be used, and why

WITHOUT_LIMIT = "none"
E = TypeVar("E", bound=Entry)


def read_values(sections: Sections, where: Where) -> Found:
    """Read the ranges and properties in place; yield what cannot be read.

    Args:
        sections: entries by section and id; facts and finishes are replaced by ones whose values are read.
        where: gives file and line of an entry, or of a part of it.
    """
    yield from _read_values_of(sections, where)
    yield from _read_units(sections, where)
    yield from _read_ranges_of_properties(sections, where)
    yield from _read_ranges(sections, where)
    yield from _read_properties(sections, where)
    sections["facts"] |= values_from_finishes(sections["facts"], sections["finishes"])


def values_from_finishes(
    facts: Mapping[str, FactKind], finishes: Mapping[str, Finish], called: Mapping[str, str] | None = None
) -> dict[str, FactKind]:
    """The facts whose values are the finishes, with these finishes and their names.

    Args:
        facts: all of them.
        finishes: all of them.
        called: what else some of them are called, by id.
    """
    return {
        name: _with(kind, {"values": tuple(finishes), "also": _with_names(kind.also, finishes, called or {})})
        for name, kind in facts.items()
        if kind.values_from
    }


def _with_names(
    also: Mapping[str, Texts], finishes: Mapping[str, Finish], called: Mapping[str, str]
) -> dict[str, Texts]:
    """Spellings by finish, its name among them; what stands for one already goes on standing for it alone.

    So a finish laid over under a name that is taken is asked about by its id, and nothing said before means another.
    """
    taken = {*finishes, *(other for others in also.values() for other in others)}
    found: dict[str, Texts] = {}
    for each in finishes.values():
        names = [spelled(name) for name in (each.name, called.get(each.id, each.name))]
        found[each.id] = (*(name for name in dict.fromkeys(names) if name not in taken), *also.get(each.id, ()))
        taken.update(names)
    return found


def finishes_called(base: RuleBase, typed: str) -> list[str]:
    """The finishes that a name may mean: the one that is called so, by id, name or as people say, else those whose name
    holds it.

    Args:
        base: the rule base.
        typed: as people write it.
    """
    wanted = spelled(typed)
    if wanted in base.finishes:
        return [wanted]
    names = {each.id: (each.id, spelled(each.name)) for each in base.finishes.values()}
    said = {each: kind.also.get(each, ()) for kind in base.facts.values() if kind.values_from for each in names}
    called = [each for each in names if wanted in (*names[each], *said.get(each, ()))]
    return called or [each for each in names if wanted and any(wanted in name for name in names[each])]


def spelled(text: str) -> str:
    """What people write for a value, as ids are written.

    >>> spelled("Floor paint"), spelled("flake epoxy")
    ('floor_paint', 'flake_epoxy')
    """
    return text.strip().lower().replace(".", "").replace(" ", "_").replace("-", "_")


def _read_values_of(sections: Sections, where: Where) -> Found:
    facts: dict[str, FactKind] = sections["facts"]
    for name, kind in facts.items():
        if not kind.values_of:
            continue
        other = facts.get(kind.values_of)
        if other is None or other.type != kind.type or not other.values or other.values_of:
            choices = [each for each, some in facts.items() if some.type == kind.type and not some.values_of]
            what = wording("folders.values_of", name=name, other=kind.values_of)
            yield "facts", name, Fault(where("facts", name, "values_of"), what, remedy=nearest(kind.values_of, choices))
        else:
            facts[name] = _with(kind, {"values": other.values, "also": other.also})


def _read_units(sections: Sections, where: Where) -> Found:
    for section in ("facts", "properties", "sheet"):
        for name, kind in sections[section].items():
            if kind.type == "number" and kind.unit not in UNITS:
                what = wording("folders.unit", name=name, unit=kind.unit)
                yield section, name, Fault(where(section, name, "unit"), what, ", ".join(UNITS))


def _read_ranges_of_properties(sections: Sections, where: Where) -> Found:
    for name, kind in sections["properties"].items():
        if kind.type == "number" and kind.unit in UNITS and kind.range:
            try:
                read_figure(kind.range, kind.unit)
            except NotAQuantity as error:
                what = wording("rules.range_of", property=name, problem=error)
                yield "properties", name, Fault(where("properties", name, "range"), what)


def _read_ranges(sections: Sections, where: Where) -> Found:
    for section in ("facts", "sheet"):
        for name, kind in sections[section].items():
            if kind.type != "number" or kind.unit not in UNITS:
                continue
            try:
                plausible = read_figure(kind.range, kind.unit)
            except NotAQuantity as error:
                yield section, name, Fault(where(section, name, "range"), f'"{kind.range}" for {name}: {error}')
            else:
                sections[section][name] = _with(kind, {"plausible": plausible})


def _read_properties(sections: Sections, where: Where) -> Found:
    kinds = sections["properties"]
    for finish_id, finish in sections["finishes"].items():
        read: dict[str, PropertyValue] = {}
        for name, value in finish.properties.items():
            try:
                read[name] = _with(value, _read_property(kinds, name, value, finish_id))
            except _Unreadable as error:
                at = where("finishes", finish_id, "properties", name)
                yield "finishes", finish_id, Fault(at, error.what, error.allowed, error.remedy)
        sections["finishes"][finish_id] = _with(finish, {"properties": {**finish.properties, **read}})
        for missing in kinds.keys() - finish.properties.keys():
            what = f'{finish_id}: the property "{missing}" is missing'
            yield "finishes", finish_id, Fault(where("finishes", finish_id), what)


def _with(entry: E, read: Mapping[str, Any]) -> E:
    """The entry with what was read; the same object where it was read before, beneath an overlay."""
    same = all(getattr(entry, name) == value for name, value in read.items())
    return entry if same else entry.model_copy(update=dict(read))


class _Unreadable(ValueError):
    """A property's value does not fit its kind."""

    def __init__(self, what: str, allowed: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what, self.allowed, self.remedy = what, allowed, remedy


def _read_property(kinds: dict[str, Property], name: str, value: PropertyValue, finish: str) -> dict[str, Any]:
    kind = kinds.get(name)
    if kind is None:
        raise _Unreadable(wording("folders.no_property", name=name), remedy=nearest(name, kinds))
    if kind.type == "number":
        if kind.unit not in UNITS:
            return {"interval": None}
        if value.given == WITHOUT_LIMIT:
            if not kind.unlimited:
                raise _Unreadable(wording("rules.none", finish=finish, property=name))
            return {"interval": None}
        try:
            read = read_figure(str(value.given), kind.unit)
            plausible = read_figure(kind.range, kind.unit) if kind.range else ANY_NUMBER
        except NotAQuantity as error:
            raise _Unreadable(wording("folders.unread", given=value.given, name=name, why=error)) from None
        if not plausible.low <= read.low <= read.high <= plausible.high:
            raise _Unreadable(wording("rules.range", finish=finish, property=name, given=value.given), kind.range)
        return {"interval": read}
    given = (value.given,) if isinstance(value.given, str) else value.given
    if kind.type != "choices" and len(given) != 1:
        raise _Unreadable(wording("folders.one_value", name=name, n=len(given)))
    if unknown := sorted(set(given) - set(kind.choices)):
        allowed = ", ".join(kind.choices)
        raise _Unreadable(wording("folders.no_value", given=unknown[0], name=name), allowed)
    return {"choices": given}
