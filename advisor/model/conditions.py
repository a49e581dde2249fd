"""The small language of conditions in `when:` and `judges:`; its meaning is written down in DEVELOPERS.md."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from advisor.model.entry import UNKNOWN
from advisor.physics.bounds import Interval
from explanations.wording import wording

Order = Literal["above", "at least", "below", "at most"]

_ORDER = re.compile(r"(above|at least|below|at most)\s+((?:limit|finish|fact)\.[a-z0-9_]+)")
_AMONG = re.compile(r"(not\s+)?among\s+finish\.([a-z0-9_]+)")
_LIST = re.compile(r"(is\s+|not\s+|one of\s+|none of\s+|includes\s+)?([a-z][a-z0-9_]*(?:\s*,\s*[a-z][a-z0-9_]*)*)")
_NUMBER = re.compile(r"(above|at least|below|at most)\s+[-+.\d]")


@dataclass(frozen=True)
class Asks:
    """One condition as parsed, before the names in it are looked up."""

    kind: Literal["values", "among", "order", "unknown", "known", "holds"]
    may: bool = False
    negated: bool = False
    values: tuple[str, ...] = ()
    order: Order | None = None
    operand: str = ""  # "limit.NAME", "finish.NAME" or "fact.NAME"


@lru_cache(maxsize=4096)
def parse_condition(text: str) -> Asks:
    """Parse one condition.

    Raises:
        ValueError: it is not of the language; the message says why.

    >>> parse_condition("may be above limit.wet").may
    True
    """
    text = " ".join(text.split())
    may = text.startswith("may be ")
    body = text.removeprefix("may be ")
    if body in (UNKNOWN, "known", "holds"):
        if may:
            raise ValueError(wording("rules.condition_of.certain", word=body))
        return Asks({"unknown": "unknown", "known": "known", "holds": "holds"}[body])  # type: ignore[arg-type]
    if match := _ORDER.fullmatch(body):
        return Asks("order", may, order=match[1], operand=match[2])  # type: ignore[arg-type]
    if match := _AMONG.fullmatch(body):
        return Asks("among", may, negated=bool(match[1]), operand=f"finish.{match[2]}")
    if _NUMBER.match(body):
        raise ValueError(wording("rules.condition_of.number"))
    if (
        re.search(r"\b(absent|missing|not holds|does not hold|not concluded)\b", body)
        and "," not in body
        and body != "absent"
    ):
        raise ValueError(wording("rules.condition_of.absence"))
    if match := _LIST.fullmatch(body):
        word = (match[1] or "").strip()
        values = tuple(value.strip() for value in match[2].split(","))
        return Asks("values", may, negated=word in ("not", "none of"), values=values)
    raise ValueError(wording("rules.condition_of.unread"))


@dataclass(frozen=True)
class Comparison:
    """One end of a number's interval against a bound, both in the vocabulary's unit."""

    end: Literal["low", "high"]
    op: Literal[">", ">=", "<", "<="]
    bound: float

    def holds(self, interval: Interval) -> bool:
        """Whether the interval meets it."""
        value = interval.low if self.end == "low" else interval.high
        match self.op:
            case ">":
                return value > self.bound
            case ">=":
                return value >= self.bound
            case "<":
                return value < self.bound
        return value <= self.bound


def compare(order: Order, may: bool, operand: Interval) -> Comparison:
    """The comparison that an order condition comes down to.

    Surely above means that even the low end lies above the operand's high end; may be above, that the high end
    lies above its low end; and likewise mirrored for below.
    """
    if order in ("above", "at least"):
        op: Literal[">", ">="] = ">" if order == "above" else ">="
        return Comparison("high", op, operand.low) if may else Comparison("low", op, operand.high)
    down: Literal["<", "<="] = "<" if order == "below" else "<="
    return Comparison("low", down, operand.high) if may else Comparison("high", down, operand.low)


def allowed_values(asks: Asks, values: tuple[str, ...], choices: tuple[str, ...]) -> frozenset[str]:
    """The values of a choice, `unknown` among them where it may be, that meet a condition on its value.

    Args:
        asks: the condition.
        values: those that it names.
        choices: all values that the fact can have.
    """
    met = frozenset(choices) - frozenset(values) if asks.negated else frozenset(values)
    return met | {UNKNOWN} if asks.may and met else met
