from __future__ import annotations

import ast
import math
import pickle
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from advisor.cli.running import run_command
from advisor.errors import refusal
from advisor.physics.validity import OutsideValidity, within
from explanations.wording import group_of_texts

ROOT = Path(__file__).parent.parent.parent


def test_a_refusal_names_quantity_value_and_range():
    with pytest.raises(OutsideValidity) as caught:
        within("slab_thickness", -0.1, 0.01, 1.0, "m")
    copy = pickle.loads(pickle.dumps(caught.value))
    for error in (caught.value, copy):
        assert isinstance(error, ValueError)
        assert (error.quantity, error.value, error.low, error.high, error.unit) == (*error.args,)
        assert error.args == ("slab_thickness", -0.1, 0.01, 1.0, "m")
    assert refusal(*copy.args) == "slab thickness is -0.1 m; allowed is 0.01 to 1 m"
    assert refusal("loss", 2.0, 0.0, 1.0, "") == "loss is 2; allowed is 0 to 1"


def test_the_command_line_words_a_refusal_that_nobody_met_before(monkeypatch, capsys):
    study = partial(within, "years_of_study", 99, 1, 60, "years")
    monkeypatch.setattr("advisor.cli.modules.application", lambda *_: study)
    with pytest.raises(SystemExit) as ended:
        run_command()
    assert ended.value.code == 2
    assert capsys.readouterr().err == "years of the study is 99 years; allowed is 1 to 60 years\n"


def test_each_quantity_that_can_be_refused_has_a_name():
    named = {key.partition(".")[2] for key in group_of_texts("en", "physics") if key.startswith("quantity.")}
    assert {each for path in (ROOT / "advisor").rglob("*.py") for each in quantities(path)} == named


def quantities(path: Path) -> Iterator[str]:
    """The keys that `within` is called with, also by way of a helper whose first parameter is a quantity."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    helpers = {
        each.name
        for each in ast.walk(tree)
        if isinstance(each, ast.FunctionDef) and each.args.args and each.args.args[0].arg == "quantity"
    }
    for node in ast.walk(tree):
        named = isinstance(node, ast.Call) and getattr(node.func, "id", "") in {"within", *helpers}
        if named and isinstance(first := node.args[0], ast.Constant):
            yield str(first.value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1.0000001, -1e-9])
def test_what_is_no_number_or_outside_is_refused_alone_and_in_a_column(value):
    with pytest.raises(OutsideValidity):
        within("share", value, 0.0, 1.0, "")
    with pytest.raises(OutsideValidity) as caught:
        within("share", np.array([0.5, value, 0.7]), 0.0, 1.0, "")
    assert caught.value.value == value or math.isnan(value)


def test_what_lies_in_range_comes_back_as_float():
    assert within("share", 1, 0.0, 1.0, "") == 1.0
    assert isinstance(within("share", 1, 0.0, 1.0, ""), float)
    column = within("share", np.array([0, 1]), 0.0, 1.0, "")
    assert column.dtype == np.float64
    assert within("share", np.array([]), 0.0, 1.0, "").size == 0
