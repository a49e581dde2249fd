"""Mutation testing: each small change of meaning of a module must make its part's own tests fail.

    python -m tests.benchmarks.mutants [MODULE ...] [--most N]

Needs cosmic-ray, which makes the mutants (not in the lock file; `pip install cosmic-ray`). Each is tried in a process
of its own, forked from one that has the libraries loaded, with the mutant in place of the module as it is imported: no
file is touched, and nothing kept on disk is read. What survives is printed as a difference, to be looked at.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import os
import resource
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import suppress
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from random import Random
from types import ModuleType

ROOT = Path(__file__).parent.parent.parent
# Each module with the tests of its own part; its doctests are always among them.
PARTS: dict[str, tuple[str, ...]] = {
    "advisor/model/conditions.py": ("model/test_conditions.py",),
    "advisor/model/measures.py": ("model/test_quantities.py",),
    "advisor/model/remembered.py": ("model/test_remembered.py",),
    "advisor/model/contradictions.py": ("facts/test_contradictions.py", "engines/test_contradicting.py"),
    "advisor/model/grounding.py": ("model/test_conditions.py", "engines/test_second_reading.py"),
    "advisor/model/program.py": ("model/test_conditions.py", "engines/test_second_reading.py", "engines/test_rete.py"),
    "advisor/facts/setting_aside.py": ("facts/test_contradictions.py", "facts/test_ages.py", "facts/test_say.py"),
    "advisor/facts/statements.py": ("facts/test_ages.py", "facts/test_say.py", "facts/test_case.py"),
    "advisor/engines/packing.py": ("engines/test_packing.py",),
    "advisor/engines/contradicting.py": ("engines/test_contradicting.py",),
    "advisor/engines/columns.py": ("engines/test_contradicting.py", "engines/test_many_cases.py"),
    "advisor/engines/many_cases.py": ("engines/test_many_cases.py",),
    "advisor/engines/rete.py": ("engines/test_rete.py", "engines/test_session.py"),
    "advisor/engines/smt_terms.py": ("engines/test_smt.py",),
    "advisor/answer/bit_columns.py": ("answer/test_bit_columns.py",),
    "advisor/answer/ranking.py": ("answer/test_ranking.py",),
    "advisor/answer/judging.py": ("answer/test_judging.py",),
    "advisor/answer/step_cautions.py": ("answer/test_step_cautions.py", "answer/test_hazards.py"),
    "advisor/asking/relevance.py": ("asking/test_relevance.py", "asking/test_proof.py"),
    "advisor/asking/conversation.py": ("asking/test_interview.py",),
    "advisor/validation/cache.py": ("validation/test_cache.py",),
    "advisor/validation/loading.py": ("validation/test_loading.py", "validation/test_cache.py"),
    "advisor/validation/figures.py": ("validation/test_overlay_faults.py", "validation/test_overlays.py"),
    "advisor/validation/kept_entries.py": ("validation/test_safeguards_kept.py",),
    "advisor/validation/checks/conditions.py": ("rulebase/test_rulebase.py",),
    "advisor/validation/checks/rules.py": ("rulebase/test_rulebase.py",),
    "advisor/validation/implied.py": ("validation/test_overlays.py",),
    "advisor/work/packs.py": ("work/test_packs.py",),
    "advisor/work/batches.py": ("work/test_skills.py", "work/test_days.py"),
}
LIBRARIES = (
    "pytest",
    "_pytest.doctest",
    "hypothesis",
    "numpy",
    "pydantic",
    "scipy.optimize",
    "yaml",
    "z3",
    "durable_rules_engine",
)
LONGEST = 120  # seconds of CPU for one mutant: an endless loop counts as found


class _InPlace(MetaPathFinder):
    """Imports one module from a text in place of its file."""

    def __init__(self, name: str, path: Path, text: str) -> None:
        self.name, self.path, self.text = name, path, text

    def find_spec(self, name: str, path: object = None, target: ModuleType | None = None) -> ModuleSpec | None:
        if name != self.name:
            return None
        text = self.text.encode()

        class Loader(SourceFileLoader):
            def get_code(self, fullname: str):  # type: ignore[no-untyped-def]
                return compile(text, self.path, "exec", dont_inherit=True)

        return spec_from_file_location(name, self.path, loader=Loader(name, str(self.path)))


def mutants_of(path: Path) -> Iterator[str]:
    """The module with one change of meaning after another."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator, operator_names

    text = path.read_text(encoding="utf-8")
    meaning, seen = _meaning(text), set()
    for name in sorted(operator_names()):
        operator = get_operator(name)
        if operator.arguments():
            continue  # one that is made for something in particular
        occurrence = 0
        while (changed := mutate_code(text, operator(), occurrence)) is not None:
            occurrence += 1
            try:
                means = _meaning(changed)
            except SyntaxError:
                continue
            if means != meaning and means not in seen:
                seen.add(means)
                yield changed


def _meaning(text: str) -> str:
    """What is left once annotations and docstrings, which nothing executes, are taken out."""
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.arg | ast.AnnAssign):
            node.annotation = ast.Constant(None)
        elif isinstance(node, ast.FunctionDef):
            node.returns = None
    return ast.dump(tree)


def survives(path: Path, text: str, tests: Sequence[str]) -> bool:
    """Whether the tests pass with this text in place of the module."""
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        _pass_or_fail(path, text, tests)
    _, status = os.waitpid(child, 0)
    with suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)  # what its tests started
    return status == 0


def _pass_or_fail(path: Path, text: str, tests: Sequence[str]) -> None:
    import pytest

    code = 1
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST))
        quiet = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(quiet, stream)
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        sys.meta_path.insert(0, _InPlace(name, path, text))
        os.environ["XDG_CACHE_HOME"] = os.devnull
        code = int(
            pytest.main(
                [
                    "-x",
                    "-q",
                    "-n",
                    "0",
                    "-p",
                    "no:cacheprovider",
                    "--assert=plain",
                    "--rootdir",
                    str(ROOT),
                    *tests,
                    *([str(path)] if ">>>" in text else []),  # its doctests
                ]
            )
        )
    finally:
        os._exit(code)


def examine(module: str, most: int) -> Counter[str]:
    """Try the mutants of a module, or so many of them; print those that survive."""
    path = ROOT / module
    tests = [str(ROOT / "tests" / each) for each in PARTS[module]]
    text = path.read_text(encoding="utf-8")
    if not survives(path, text, tests):
        print(f"{module}: its tests fail as it is", flush=True)
        return Counter()
    every = list(mutants_of(path))
    tried = every if len(every) <= most else Random(1).sample(every, most)
    began, found = time.perf_counter(), Counter[str]()
    for changed in tried:
        lives = survives(path, changed, tests)
        found["survived" if lives else "killed"] += 1
        if lives:
            lines = difflib.unified_diff(text.splitlines(), changed.splitlines(), module, module, lineterm="", n=0)
            print("\n".join([*lines][2:]), flush=True)
    share = found["killed"] / max(found.total(), 1)
    print(
        f"{module}: {found['killed']} of {found.total()} killed ({share:.0%}), of {len(every)} mutants; "
        f"{time.perf_counter() - began:.0f} s",
        flush=True,
    )
    return found


def main() -> None:
    asks = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asks.add_argument("modules", nargs="*", metavar="MODULE", choices=[*PARTS, []], help="all that are listed, if none")
    asks.add_argument("--most", type=int, default=60, help="mutants of one module; a sample, always the same, if more")
    said = asks.parse_args()
    try:
        import cosmic_ray  # noqa: F401
    except ImportError:
        sys.exit("cosmic-ray is not installed here; it makes the mutants: pip install cosmic-ray")
    for name in LIBRARIES:
        __import__(name)
    total = Counter[str]()
    for module in said.modules or PARTS:
        total += examine(module, said.most)
    print(f"in all {total['killed']} of {total.total()} killed ({total['killed'] / max(total.total(), 1):.0%})")


if __name__ == "__main__":
    main()
