"""Two readings of the rule base that share nothing with the engine: a naive fixpoint, and CLIPS.

CLIPS (through clipspy) is an expert-system shell that nobody here wrote; it gets the ground rules translated into its
own language and does all matching itself. The fixpoint is the definition in DEVELOPERS.md, word for word.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import clips

from advisor.model.entry import UNKNOWN
from advisor.model.program import HOLDS, Pattern, Program
from advisor.model.values import Value

_HELD = Value("given", True, HOLDS, choice=HOLDS)
_NOT = Value("unknown", False, UNKNOWN, choice=UNKNOWN)


def fixpoint(program: Program, memory: Mapping[str, Value]) -> set[str]:
    """Names of the ground rules that fire: all whose patterns hold, until nothing new is found."""
    # What is told of the floor stays as it is: a rule that fails on it never fires; only findings are looked at again.
    told = (rule for rule in program.rules if all(p.holds(memory[p.fact]) for p in rule.patterns if p.fact in memory))
    left = {rule.name: (rule, [p for p in rule.patterns if p.fact not in memory]) for rule in told}
    found: dict[str, Value] = {}
    fired: set[str] = set()
    while new := [rule for rule, asked in left.values() if all(p.holds(found.get(p.fact, _NOT)) for p in asked)]:
        fired.update(rule.name for rule in new)
        found.update({name: _HELD for rule in new for name in rule.findings})
        for rule in new:
            del left[rule.name]
    return fired


class Clips:
    """The program as CLIPS rules over two templates, one for numbers and one for choices."""

    def __init__(self, program: Program) -> None:
        self.environment = clips.Environment()
        self.environment.build(
            "(deftemplate quantity (slot name (type SYMBOL)) (slot low (type FLOAT)) (slot high (type FLOAT))"
            " (slot known (type SYMBOL)))"
        )
        self.environment.build("(deftemplate quality (slot name (type SYMBOL)) (slot value (type SYMBOL)))")
        self.environment.build("(deftemplate fired (slot rule (type SYMBOL)))")
        for rule in program.rules:
            conditions = " ".join(_pattern(number, pattern) for number, pattern in enumerate(rule.patterns))
            asserted = [f"(assert (quality (name {_symbol(name)}) (value {HOLDS})))" for name in rule.findings]
            action = " ".join([f"(assert (fired (rule {_symbol(rule.name)})))", *asserted])
            self.environment.build(f"(defrule {_symbol(rule.name)} {conditions} => {action})")
        self._names = {_symbol(rule.name): rule.name for rule in program.rules}
        self._quantity = self.environment.find_template("quantity")
        self._quality = self.environment.find_template("quality")
        self._fired = self.environment.find_template("fired")

    def fired(self, memory: Mapping[str, Value]) -> set[str]:
        """Names of the ground rules that fire on these facts."""
        self.environment.reset()
        for name, value in memory.items():
            if value.interval is not None:
                self._quantity.assert_fact(
                    name=clips.Symbol(_symbol(name)),
                    low=float(value.interval.low),
                    high=float(value.interval.high),
                    known=clips.Symbol("yes" if value.known else "no"),
                )
            else:
                self._quality.assert_fact(name=clips.Symbol(_symbol(name)), value=clips.Symbol(value.choice))
        self.environment.run()
        return {self._names[fact["rule"]] for fact in self._fired.facts()}


def _symbol(name: str) -> str:
    return name.replace("@", "--").replace("/", "-form-")


def _pattern(number: int, pattern: Pattern) -> str:
    name = _symbol(pattern.fact)
    if pattern.values is not None:
        return f"(quality (name {name}) (value {'|'.join(sorted(pattern.values))}))"
    slots = []
    for end in ("low", "high"):
        tests = [f"({c.op} ?{end}{number} {_literal(c.bound)})" for c in pattern.comparisons if c.end == end]
        if tests:
            slots.append(f"({end} ?{end}{number}&:(and {' '.join(tests)} TRUE))")
    if pattern.known is not None:
        slots.append(f"(known {'yes' if pattern.known else 'no'})")
    return f"(quantity (name {name}) {' '.join(slots)})"


def _literal(bound: float) -> str:
    text = format(Decimal(repr(bound)), "f")
    return text if "." in text else f"{text}.0"
