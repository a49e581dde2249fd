"""The direction of imports, as DEVELOPERS.md draws it, and what the top level may hold."""

from __future__ import annotations

import ast
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = [*(ROOT / "advisor").rglob("*.py"), *(ROOT / "explanations").rglob("*.py")]

# Each package knows only those before it; `advisor` itself (the library) and `__main__` come after all.
ORDER = (
    *(
        "errors",
        "sent",
        "sheets",
        "demo",
        "physics",
        "model",
        "rulebase",
        "facts",
        "engines",
        "answer",
        "validation",
        "asking",
        "work",
    ),
    *("charts", "pages", "reference", "teaching", "worksheets", "survey", "library", "web", "cli"),
    "__main__",
)
ALONE = ("physics", "charts")  # these know no other package of ours


def imported(path: Path) -> set[str]:
    """Every module that a file imports, inside functions too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def package(module: str) -> str:
    """The package of `advisor` that a module is in; empty for any other module."""
    top, _, rest = module.partition(".")
    return rest.split(".")[0] if top == "advisor" else ""


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_imports_point_one_way(path: Path) -> None:
    here, names = name_of(path), imported(path)
    assert not any(name.startswith("tests") for name in names)
    if here.startswith("explanations"):
        assert not any(name.startswith("advisor") for name in names)
    elif own := package(here):
        ours = {package(name) for name in names if package(name)} & set(ORDER)
        later = {name for name in ours if ORDER.index(name) > ORDER.index(own)}
        assert later == set(), f"{here} imports from {later}, which come after {own}"
        assert own not in ALONE or ours <= {own}


def test_only_the_adapter_imports_the_engine() -> None:
    """Its C part alone: the Python around it drops, silently, what a process paused for 10 s left undone."""
    importing = [(name_of(path), name) for path in MODULES for name in imported(path) if name.startswith("durable")]
    assert importing == [("advisor.engines.rete", "durable_rules_engine")]


def test_the_order_names_every_package() -> None:
    """And the check sees imports at all."""
    assert {package(name_of(path)) for path in MODULES} - {""} == set(ORDER)
    assert "model" in {package(name) for name in imported(ROOT / "advisor" / "facts" / "memory.py")}


MODES = "w wb wt w+ x xb xt a ab at r+"


def written(path: Path) -> set[str]:
    """The calls that write files: `write_text`, `write_bytes`, and `open` with a mode other than to read."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        given = (*node.args, *(keyword.value for keyword in node.keywords))
        modes = {str(each.value) for each in given if isinstance(each, ast.Constant)} & set(MODES.split())
        if name in ("write_text", "write_bytes") or (name == "open" and modes):
            found.add(name)
    return found


def test_files_are_written_in_one_place() -> None:
    """So each place is tried before any work, and each file is there whole or not at all."""
    writing = {path.relative_to(ROOT).as_posix() for path in MODULES if written(path)}
    assert writing == {"explanations/files.py", "explanations/pictures.py"}  # the second in a folder of its own making


def test_the_top_level_holds_only_what_the_design_card_lists() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    allowed = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "Makefile", "pyproject.toml"}
    allowed |= {"requirements.lock", "requirements-build.lock", "advisor", "rules", "tests", "explanations"}
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    assert {name for name in top - allowed if not name.startswith(".")} == set()
