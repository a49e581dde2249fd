"""A number as a slider in the reader's own unit, with all that rules compare it with marked on it.

What is sent is a number field; the slider stands beside it where there is a script. Between two stops lies the same
way, however far apart they are: so three days between two limits are moved as well as forty years.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from advisor.model.as_written import is_number
from advisor.model.edges import WHOLE
from advisor.model.quantities import Scale, keep, scale_for, show, show_number, write
from advisor.model.values import Value
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from explanations.reading import reading

SAME = 1e-5  # of a limit: nearer than the field's digits can tell, a number is the limit itself
DIGITS = 6
FAR = 100  # times; between stops so far apart there are others


@dataclass(frozen=True)
class Stop:
    """A marked place: its figure in the reader's unit, how it reads, and whether rules compare with it."""

    at: str
    shown: str
    limit: bool


@dataclass(frozen=True)
class Slider:
    """What the field and the slider beside it show.

    Attributes:
        unit: the reader's.
        stops: from one end to the other.
        value: of the field; empty where no single figure is known.
        stands: where the slider stands; empty where nothing is known.
        whole: whether people give whole numbers.
    """

    unit: str
    stops: tuple[Stop, ...]
    value: str
    stands: str
    whole: bool


def slider_of(kind: FactKind, limits: Iterable[float], value: Value | None) -> Slider:
    """The slider of a number.

    Args:
        kind: of the fact.
        limits: what rules compare it with, in the vocabulary's unit.
        value: what is known of it.
    """
    scale, span = scale_for(reading(), kind.unit), kind.plausible
    held = {each for each in limits if span.low <= each <= span.high}
    stops = sorted({span.low, span.high, *held})
    between = (scale.back(each) for one, other in pairwise(map(scale.there, stops)) for each in _tens(one, other))
    known = value.interval if value and value.known else None
    return Slider(
        scale.sign,
        tuple(_stop(scale, kind.unit, each, each in held) for each in sorted({*stops, *between})),
        show_number(scale.there(known.low), DIGITS) if known and known.low == known.high else "",
        show_number(scale.there((known.low + known.high) / 2), DIGITS) if known else "",
        kind.unit in WHOLE,
    )


def limits_in_words(slider: Slider) -> str:
    """What rules compare with, with its unit once."""
    figures = ", ".join(each.shown for each in slider.stops if each.limit)
    return f"{figures} {slider.unit}".strip()


def typed_at(kind: FactKind, limits: Iterable[float], text: str) -> str:
    """What the field says, as somebody would type it; what is no mere number stays as it is."""
    if kind.type != "number" or not is_number(text) or not math.isfinite(float(text)):
        return text
    at = scale_for(reading(), kind.unit).back(float(text))
    at = next((each for each in limits if abs(at - each) <= SAME * abs(each)), at)
    return write(Interval(at, at), kind.unit, digits=12)


def _stop(scale: Scale, unit: str, at: float, limit: bool) -> Stop:
    shown = show(Interval(at, at), unit)
    return Stop(show_number(scale.there(keep(at)), DIGITS), shown.removesuffix(scale.sign).strip(), limit)


def _tens(low: float, high: float) -> Iterator[float]:
    """Powers of ten between two stops, where the other is more than a hundred times the one; nought counts as one."""
    least = low or 1.0
    if least < 0 or high <= FAR * least:
        return
    at = 10.0 ** math.ceil(math.log10(2 * least))
    while at < high / 2:
        yield at
        at *= 10
