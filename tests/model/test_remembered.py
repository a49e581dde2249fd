"""What is worked out once for each rule base: for that object, as long as it lives."""

from __future__ import annotations

import gc

from advisor.model.knowledge import RuleBase
from advisor.model.remembered import OncePerBase


def test_worked_out_once_for_each_and_forgotten_with_it() -> None:
    asked: list[int] = []
    found: OncePerBase[list[int]] = OncePerBase(lambda base: asked.append(id(base)) or [len(asked)])  # type: ignore[func-returns-value]
    one, other = RuleBase(version="1"), RuleBase(version="1")
    first = found(one)
    assert found(one) is first
    assert found(other) == [2]
    assert asked == [id(one), id(other)]
    copy = one.model_copy(update={"version": "2"})
    assert found(copy) == [3]  # what is changed is worked out anew
    del one
    gc.collect()
    assert len(found._found) == 2
    assert found(other) == [2]


def test_what_was_worked_out_before_is_taken_and_may_be_replaced() -> None:
    found: OncePerBase[str] = OncePerBase(lambda _: "anew")
    base = RuleBase()
    found.keep(base, "kept")
    assert found(base) == "kept"
    found.keep(base, "kept again")
    assert found(base) == "kept again"
    del base
    gc.collect()
    assert found._found == {}
