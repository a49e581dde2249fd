"""What a formula of a computed fact is: a function of facts, with what other parts of the advisor rest on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.physics.bounds import Interval, Span

Work = TypeVar("Work")


class Inputs(Protocol):
    """The facts that a formula reads."""

    def span(self, name: str, scale: float = 1.0) -> Span:
        """Least and most of a number, in the vocabulary's unit times a scale."""

    def has(self, name: str, value: str) -> Any:
        """Whether a choice is known to have a value."""

    def once(self, key: object, work: Callable[[], Work], /) -> Work:
        """What several formulas work out alike."""


@dataclass(frozen=True)
class Subject:
    """What a computed fact is about: the finish, if it has a value for each, and the rule base for its data."""

    base: RuleBase
    finish: Finish | None

    def property(self, name: str) -> Interval | None:
        """A property of the finish as an interval; None where it sets no limit."""
        assert self.finish is not None
        return self.finish.properties[name].interval

    def norm(self, name: str, scale: float = 1.0) -> Span:
        """A number of estimating, in its unit times a scale."""
        interval = self.base.norms[name].interval
        return Span(interval.low * scale, interval.high * scale)


Function = Callable[[Inputs, Subject], Span]


@dataclass(frozen=True)
class Formula:
    """A function, and what other parts rest on: how its ends move with its inputs, and what it reads beside them.

    Both ends of what is computed rise, or fall, with an input named here, whatever the others are. The audit rests on
    that; `tests/facts/test_computed_monotony.py` holds it.
    """

    function: Function
    rises_with: tuple[str, ...]
    falls_with: tuple[str, ...]
    properties: tuple[str, ...] | None  # all that it reads of a finish; None: more than properties
    by_table: bool  # over arrays the curve of saturation is a table, within 1e-6
    in_logic: bool  # it only adds, multiplies and takes the greater or lesser, so that a prover can work with it

    def reads(self, finish: Finish) -> object:
        """What it reads of a finish: of two that are alike in this the same is computed."""
        if self.properties is None:
            return finish.id
        return tuple(finish.properties[each].interval for each in self.properties)


FORMULAS: dict[str, Formula] = {}


def formula(
    *,
    rises_with: tuple[str, ...] = (),
    falls_with: tuple[str, ...] = (),
    properties: tuple[str, ...] | None = (),
    by_table: bool = False,
    in_logic: bool = False,
) -> Callable[[Function], Function]:
    """Register a function under its own name, as the vocabulary's `computed: {by: ...}` names it."""

    def register(function: Function) -> Function:
        FORMULAS[function.__name__] = Formula(function, rises_with, falls_with, properties, by_table, in_logic)
        return function

    return register
