"""The direction of imports, as DEVELOPERS.md draws it."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = [*(ROOT / "advisor").rglob("*.py"), *(ROOT / "explanations").rglob("*.py")]


def imported(path: Path) -> set[str]:
    """Every module that a file imports, inside functions too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


def ours(path: Path) -> set[str]:
    return {name for name in imported(path) if name.split(".")[0] in ("advisor", "explanations", "tests")}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_point_one_way(path: Path) -> None:
    where = path.relative_to(ROOT)
    names = ours(path)
    assert not any(name.startswith("tests") for name in names)
    if where.parts[0] == "explanations":
        assert not any(name.startswith("advisor") for name in names)
    if where.parts[:2] == ("advisor", "physics"):
        assert all(name.startswith("advisor.physics") for name in names)
    if where.name != "one_case.py":
        assert not any(name.split(".")[0] == "durable" for name in imported(path))


def test_the_check_sees_imports_at_all() -> None:
    assert "advisor.physics" in {name[:15] for path in MODULES for name in ours(path)}
    assert "durable" in imported(ROOT / "advisor" / "inference" / "one_case.py")


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
    import subprocess

    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    allowed = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "Makefile", "pyproject.toml"}
    allowed |= {"requirements.lock", "requirements-build.lock", "advisor", "rules", "tests", "explanations"}
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    assert {name for name in top - allowed if not name.startswith(".")} == set()
