"""Odd input made by chance: cases, tables, interviews, command lines; each is answered or refused in words.

The short form is in the suite (`tests/cli/test_odd_input.py`), the long one a benchmark (`tests.benchmarks.faults`).
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import typer
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.cli.running import run_command
from advisor.cli.verbs import app
from advisor.errors import AdvisorError
from advisor.facts.case import read_case
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import write
from advisor.physics.bounds import Interval
from advisor.survey.survey import survey
from explanations.errors import CannotExplain

WAIT_OR_LAST = ("serve", "audit", "lessons")  # a server; proofs; a folder of all lessons: minutes, and rightly so
SLOWEST = 5.0  # seconds of CPU that one odd input may take

# Each has been a fault of some program: of a reader of numbers, of YAML, of a terminal, of a spreadsheet, of a page.
ODD: tuple[Any, ...] = (
    "", " ", "0", "-1", "1e999", "nan", "9" * 400, "1.2.3 m x 4 m", "4 m**9**9**9", "70 %?", "95+ %", "75,5 %", "3 rad",
    "80 to 20 %", "unknown", "yes", "no", "none", "maybe", "2026-10-01", "1998", "1998.5", "over", "about 4 in",
    "\x1b[31mred", "\u202eright", "\ud800", "\x00", "\x7f", "\u0092", "\ufffe", "x" * 5000, "=cmd|x!A1", "<b>&amp;",
    "$\\frac$", "#read(\"x\")", "| a | b |", "'", '"', "[red]", "{fact}", "a\nb", "é", "８０ ％", "--help", "-x",
    None, True, False, 0, -3, 7.25, 10**30, float("nan"), [], ["80 %"], {}, {"is": "80 %"},
    {"is": "80 %", "on": "yesterday"},
    {"is": "80 %", "by": "\x1b"}, [[[[["deep"]]]]],
)  # fmt: skip


class Fault(NamedTuple):
    """What was tried, and how it went wrong."""

    tried: str
    how: str


class Tally(NamedTuple):
    """How many were answered, refused in words, and what went wrong."""

    ended: Counter[str]
    faults: list[Fault]


def tried(what: Iterator[tuple[str, Callable[[], str]]]) -> Tally:
    """Do each; a traceback, a hang and an answer without words are faults."""
    ended: Counter[str] = Counter()
    faults = []
    for name, do in what:
        began = time.process_time()
        try:
            ended[do()] += 1
        except (AdvisorError, CannotExplain) as error:
            ended["refused"] += 1
            if not str(error).strip() or any(ord(each) < 32 and each not in "\n\t" for each in str(error)):
                faults.append(Fault(name, f"refused in no plain words: {str(error)!r}"))
        except Exception:
            faults.append(Fault(name, traceback.format_exc()[-900:]))
        if (took := time.process_time() - began) > SLOWEST:
            faults.append(Fault(name, f"took {took:.1f} s of CPU"))
    return Tally(ended, faults)


def by_hypothesis(odd: Callable[[Random], Iterator[tuple[str, Callable[[], str]]]], examples: int) -> Counter[str]:
    """Let Hypothesis draw what is tried, and look for the simplest that goes wrong; how the examples ended.

    Args:
        odd: makes what is tried, one example of it, by the chance it is given.
        examples: how many; the same in every run.

    Raises:
        AssertionError: with the simplest fault found.
    """
    ended: Counter[str] = Counter()

    @settings(max_examples=examples, derandomize=True, database=None, deadline=None, suppress_health_check=HealthCheck)
    @given(rng=st.randoms(use_true_random=False))
    def each_ends_well(rng: Random) -> None:
        tally = tried(odd(rng))
        assert not tally.faults, "\n".join(f"{each.tried}: {each.how}" for each in tally.faults)
        ended.update(tally.ended)

    each_ends_well()
    return ended


def odd_cases(base: RuleBase, folder: Path, rng: Random, count: int) -> Iterator[tuple[str, Callable[[], str]]]:
    """Case files in every format, with odd values, odd names, odd shapes, or bytes lost and put in."""
    for number in range(count):
        ending, content = odd_case(base, rng)
        path = folder / f"odd{number % 50}{ending}"
        path.write_bytes(content)
        yield repr(path.read_bytes()[:400]), lambda path=path: _read(base, path)


def odd_case(base: RuleBase, rng: Random) -> tuple[str, bytes]:
    """The ending and the content of one of them."""
    ending = rng.choice((".yaml", ".yaml", ".json", ".toml"))
    return ending, _spoiled(_case_text(base, rng, ending), rng)


def _read(base: RuleBase, path: Path) -> str:
    read_case(path, base)
    return "answered"


def _case_text(base: RuleBase, rng: Random, ending: str) -> bytes:
    names = rng.sample(sorted(base.facts), rng.randint(0, 6))
    stated = {_odd_name(name, rng): _odd_value(base, name, rng) for name in names}
    case: Any = {"floor": rng.choice(ODD) if rng.random() < 0.1 else "A floor", "facts": stated}
    if rng.random() < 0.15:
        case[rng.choice(("note", "format", "fact", "", "facts.area"))] = rng.choice(ODD)
    if rng.random() < 0.05:
        case = rng.choice((stated, [case], rng.choice(ODD)))
    if ending == ".json":
        return json.dumps(case, ensure_ascii=rng.random() < 0.5).encode("utf-8", "surrogatepass")
    if ending == ".toml":
        lines = [f"{json.dumps(key)} = {_toml(value)}" for key, value in stated.items()]
        return "\n".join(('floor = "A floor"', "[facts]", *lines)).encode("utf-8", "surrogatepass")
    return yaml.safe_dump(case, allow_unicode=rng.random() < 0.5).encode("utf-8", "surrogatepass")


def _odd_name(name: str, rng: Random) -> str:
    return name if rng.random() < 0.95 else rng.choice((name.upper(), f"{name} ", name[:-1]))


def _toml(value: object) -> str:
    return str(value).lower() if isinstance(value, bool | float) else json.dumps(value)


def _odd_value(base: RuleBase, name: str, rng: Random) -> Any:
    kind = base.facts[name]
    if rng.random() < 0.2:
        return rng.choice(ODD)
    if kind.type != "number":
        one = rng.choice(kind.choices)
        return rng.choice((one, one, one, list(kind.choices[:2]), " or ".join(kind.choices[:2])))
    low, high = kind.plausible.low, kind.plausible.high
    number = rng.choice((low, high, rng.uniform(low, high)))
    stated = write(Interval(number, number), kind.unit, 3)
    return rng.choice((*[stated] * 3, f"about {stated}", f"over {stated}", f"{number:.3g}", f"{number:.3g} in"))


def _spoiled(text: bytes, rng: Random) -> bytes:
    for _ in range(rng.choice((0, 0, 0, 0, 0, 1, 3))):
        at = rng.randint(0, len(text))
        put = rng.choice((b"", b"\xff", b"\x00", b":", b"\n", b"\t", b"}", b"&a ", b"*a", b"!!set ", b"- "))
        text = text[:at] + put + text[at + rng.choice((0, 1, 5)) :]
    return rng.choice((*[b""] * 8, b"\xef\xbb\xbf", b"\xff\xfe")) + text


def odd_tables(base: RuleBase, folder: Path, rng: Random, count: int) -> Iterator[tuple[str, Callable[[], str]]]:
    """Tables of floors with odd cells, headings and quotes: every row is advised or set aside, or the table refused."""
    for number in range(count):
        path, out = folder / f"odd{number}.csv", folder / f"out{number}.csv"
        path.write_bytes(_spoiled(_table_text(base, rng), rng))
        yield repr(path.read_bytes()[:400]), lambda path=path, out=out: _surveyed(path, out)


def _table_text(base: RuleBase, rng: Random) -> bytes:
    names = rng.sample([name for name, kind in base.facts.items() if kind.ask], rng.randint(1, 6))
    if rng.random() < 0.2:
        names.append(rng.choice((names[0], "", "floor", "nonsense")))
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(("floor", *names))
    for _ in range(rng.randint(0, 12)):
        cells = [_odd_value(base, name, rng) if name in base.facts else "1" for name in names]
        rows.writerow(
            (
                rng.choice(ODD) if rng.random() < 0.2 else "A",
                *cells[: rng.choice((len(cells), len(cells), len(cells) - 1))],
            )
        )
    return text.getvalue().encode("utf-8", "surrogatepass")


def _surveyed(path: Path, out: Path) -> str:
    done = survey(path, out)
    aside = out.with_name(f"{out.stem}.bad.csv")
    written = _rows(out) + (_rows(aside) if aside.exists() else 0)
    assert written == done.floors + done.bad_rows == _rows(path), f"{written} rows written, {_rows(path)} read"
    return "answered"


def _rows(path: Path) -> int:
    text = path.read_text(encoding="utf-8-sig")
    return max(sum(1 for row in csv.reader(io.StringIO(text, newline="")) if row) - 1, 0)


def odd_interviews(folder: Path, rng: Random, count: int) -> Iterator[tuple[str, Callable[[], str]]]:
    """Interviews answered by chance; what is saved is read again."""
    for number in range(count):
        lines = [_answer(rng) for _ in range(rng.randint(1, 14))]
        typed = "\n".join((*lines, rng.choice(("later", "stop", "")))) + "\n"
        yield repr(typed[:400]), lambda typed=typed, number=number: _interviewed(folder / f"talk{number}.yaml", typed)


def _answer(rng: Random) -> str:
    odd = str(rng.choice(ODD)).replace("\n", " ")
    return rng.choice(
        ("1", "2", "3", "1 2", "don't know", "back", "how", "why", "80 %", "garage", "400 sq ft", "home", odd, odd,
         f"change area {odd}", f"change slab_humidity 88 % by {odd}", "save mine.yaml", "save /proc/x.yaml")
    )  # fmt: skip


def _interviewed(path: Path, typed: str) -> str:
    ended = run(["interview", "--save", str(path)], typed, path.parent)
    if path.exists():
        again = run(["advise", str(path)], "", path.parent)
        assert again == "answered", "what was saved cannot be read again"
    return ended


def odd_commands(folder: Path, rng: Random, count: int) -> Iterator[tuple[str, Callable[[], str]]]:
    """Command lines of every verb but those that wait for others, with options and values by chance."""
    group: Any = typer.main.get_command(app)
    for _ in range(count):
        name = rng.choice([each for each in group.commands if each not in WAIT_OR_LAST])
        arguments = [name, *_options(group.commands[name], rng)]
        yield " ".join(map(repr, arguments)), lambda arguments=arguments: run(arguments, "1\nlater\n", folder)


def _options(command: Any, rng: Random) -> Iterator[str]:
    for parameter in command.params:
        if parameter.param_type_name == "argument":
            if rng.random() < 0.9:
                yield "untested_garage" if parameter.name == "case" and rng.random() < 0.8 else _given(rng)
        elif rng.random() < 0.15 and "cluster" not in parameter.opts[0]:
            yield parameter.opts[0]
            if not getattr(parameter, "is_flag", False):
                yield _given(rng)


def _given(rng: Random) -> str:
    files = ("untested_garage", "untested_garage", "old_tile_kitchen", "none.yaml", ".", "out.svg", "out.html", "t.csv")
    words = (
        "slab_humidity",
        "epoxy_flake",
        "slab_humidity=80 %",
        "vapour",
        "drying",
        "3",
        "gist",
        "full",
        "us",
        "400 ft2",
        "2026-11-02",
    )
    return re.sub(r"[\x00\ud800]", "", str(rng.choice((*files, *words, *words, *ODD))))


def run(arguments: list[str], typed: str, folder: Path) -> str:
    """One command in this process, in a folder of its own; how it ended.

    Raises:
        AssertionError: it ended with anything but 0 or 2, or refused without a word.
    """
    told = {name: folder.parent / f"{folder.name}.{name}" for name in ("stdout", "stderr")}
    with _within(folder, arguments, typed, told):
        try:
            run_command()
            code: object = 0
        except SystemExit as ended:
            code = ended.code or 0
    refused = told["stderr"].read_text(encoding="utf-8")
    assert code in (0, 2), f"exit code {code}"
    assert "Traceback" not in refused
    if code == 2:
        assert refused.strip(), "refused without a word"
        return "refused"
    return "answered"


@contextmanager
def _within(folder: Path, arguments: list[str], typed: str, told: dict[str, Path]) -> Iterator[None]:
    with (
        told["stdout"].open("w", encoding="utf-8") as out,
        told["stderr"].open("w", encoding="utf-8") as err,
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        before = Path.cwd(), sys.argv, sys.stdin
        try:
            os.chdir(folder)
            sys.argv, sys.stdin = ["advisor", *arguments], io.StringIO(typed)
            yield
        finally:
            os.chdir(before[0])
            sys.argv, sys.stdin = before[1:]
