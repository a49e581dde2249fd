"""Figures of the rule base in a worksheet: what is taken where an input is left out, and what its texts name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from advisor.model.knowledge import RuleBase
from advisor.model.quantities import read_quantity, show, show_both, show_number
from advisor.physics.bounds import Interval
from advisor.rulebase.bibliography import clause, source_id
from explanations.wording import wording


class Figure(NamedTuple):
    """A figure as the rule base writes it, and what it rests on."""

    given: str
    sources: tuple[str, ...]


def figure_of(base: RuleBase, named: str) -> Figure:
    """A figure by its name.

    Args:
        base: where it stands.
        named: `norm.NAME`, `limit.NAME`, `fact.NAME` (what is assumed of it), `speed.TASK`, or `FINISH.PROPERTY`.

    Raises:
        KeyError: the rule base has no such figure.
    """
    section, _, name = named.partition(".")
    match section:
        case "norm":
            return Figure(base.norms[name].given, base.norms[name].source)
        case "limit":
            return Figure(base.limits[name].given, base.limits[name].source)
        case "speed" if speed := base.tasks[name].speed:
            return Figure(show(speed, "m2_h"), base.tasks[name].source)
        case "fact" if assumed := base.facts[name].assume:
            kind = base.facts[name]
            return Figure(show(read_quantity(assumed.given, kind.unit, kind.plausible), kind.unit), (assumed.source,))
    value = base.finishes[section].properties[name]
    return Figure(str(value.given), value.source)


def taken(base: RuleBase, named: str, unit: str) -> str:
    """What an input takes from one figure, or from several separated by commas, as a person would write it."""
    if unit == "count":  # a plain number: an hour of the day
        return show_number(base.norms[named.removeprefix("norm.")].interval.low)
    return ", ".join(figure_of(base, each.strip()).given for each in named.split(","))


def blanks(base: RuleBase, inputs: Mapping[str, str]) -> dict[str, str]:
    """What may stand in the braces of a sheet's texts.

    `{title_ID}` is the title of a source, `{source_ID}` all of it; `{norm_NAME}` a figure of `norms`, with `_given` as
    it is written there, with `_low` and `_high` its ends, with `_source` what it rests on; `{taken_INPUT}` and
    `{taken_INPUT_source}` the same of what an input takes; `{substances}` their ids.

    Args:
        base: the rule base.
        inputs: by the name of an input, the figure that it takes.
    """
    said = {"substances": ", ".join(base.substances)}
    for name, source in base.sources.items():
        said[f"title_{name}"], said[f"source_{name}"] = source.title, _source(base, name)
    for name, norm in base.norms.items():
        said[f"norm_{name}"], said[f"norm_{name}_given"] = show_both(norm.interval, norm.unit), norm.given
        for end in ("low", "high"):
            end_of = getattr(norm.interval, end)
            said[f"norm_{name}_{end}"] = show(Interval(end_of, end_of), norm.unit)
        said[f"norm_{name}_source"] = cited(base, norm.source)
    for name, named in inputs.items():
        figures = [figure_of(base, each.strip()) for each in named.split(",")]
        said[f"taken_{name}"] = ", ".join(each.given for each in figures)
        said[f"taken_{name}_source"] = cited(base, (source for each in figures for source in each.sources))
    return said


def cited(base: RuleBase, named: Iterable[str]) -> str:
    """The sources of a figure, each once."""
    return "; ".join(dict.fromkeys(_source(base, each) for each in named))


def _source(base: RuleBase, named: str) -> str:
    """A source as its title, edition, whether it was seen, and the clause."""
    source = base.sources[source_id(named)]
    memory = wording("worksheets.from_memory") if source.seen == "from memory" else ""
    return ", ".join(filter(None, (source.title, source.edition, memory, clause(named))))
