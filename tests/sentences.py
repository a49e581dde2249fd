"""Sentences that still stand in Python: text of three words and more that is no docstring and no text for programmers.

What a verb's `--help` says stays beside the verb, what a schema says of its fields beside the field.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

WORDS = re.compile(r"[A-Za-z][a-z']+(?:[ ,;:]+[A-Za-z][a-z']+){2,}")
FOR_PROGRAMMERS = (
    "Field",
    "Option",
    "Argument",
    "Typer",
    "ValueError",
    "KeyError",
    "RuntimeError",
    "AssertionError",
    "EngineFault",
)


def sentences(path: Path) -> Iterator[tuple[int, str]]:
    """The line and text of each sentence of a module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    passed_over = set(_passed_over(tree))
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or id(node) in passed_over:
            continue
        if isinstance(node.value, str) and WORDS.search(node.value):
            yield node.lineno, node.value


def _passed_over(tree: ast.AST) -> Iterator[int]:
    for node in ast.walk(tree):
        described = isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        if described and node.body and isinstance(node.body[0], ast.Expr):
            yield id(node.body[0].value)
        if isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in FOR_PROGRAMMERS:
                yield from (id(each) for each in ast.walk(node))
        if isinstance(node, ast.Assert) and node.msg is not None:
            yield from (id(each) for each in ast.walk(node.msg))
