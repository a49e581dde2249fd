"""A survey of a table says of each floor what `advise` says, loses nothing to a kill, and sets bad rows aside."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Executor, Future
from datetime import date
from io import StringIO
from pathlib import Path
from random import Random
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from pyarrow import csv, ipc
from rich.console import Console

import advisor
from advisor.answer.advising import conclude
from advisor.asking.interview import interview_about
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Statement, make_case, read_case, read_fact
from advisor.facts.setting_aside import doubts
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import UNITS
from advisor.model.values import Value
from advisor.pages.files import check_file, write_page
from advisor.pages.text import print_page
from advisor.survey.pieces import Pieces, Versions
from advisor.survey.summary import summarise
from advisor.survey.survey import Rules, survey
from advisor.survey.tables import BadTable
from advisor.survey.workers import NoCluster, workers_of
from advisor.validation.loading import load_rulebase
from advisor.work.cost import cost_range
from advisor.work.pace import work_hours
from explanations.errors import CannotWrite
from tests.floors import random_case
from tests.rule_folders import kept_unproved


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


def cell(base: RuleBase, name: str, value: Value | None) -> str | None:
    """A fact as somebody would write it in a table."""
    if value is None:
        return None
    if value.interval is None:
        return value.choice
    unit = UNITS[base.facts[name].unit].shown or ""
    low, high = (f"{end:.9f}" for end in (value.interval.low, value.interval.high))
    unit = {"USD/m²": "USD/m2"}.get(unit, unit)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def table_of(base: RuleBase, floors: list[dict[str, Value]]) -> pa.Table:
    names = [name for name in base.facts if any(name in floor for floor in floors)]
    columns = {name: [cell(base, name, floor.get(name)) for floor in floors] for name in names}
    return pa.table({"floor": [f"floor {n}" for n in range(len(floors))], **columns})


@pytest.fixture(scope="module")
def floors(base: RuleBase) -> list[dict[str, Value]]:
    rng = Random(25)
    return [random_case(base, rng) for _ in range(90)]


@pytest.fixture(scope="module")
def csv_table(base: RuleBase, floors: list[dict[str, Value]], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("survey") / "floors.csv"
    csv.write_csv(table_of(base, floors), path)
    return path


def read(path: Path) -> list[dict[str, object]]:
    match path.suffix:
        case ".csv":
            return csv.read_csv(path).to_pylist()  # type: ignore[no-any-return]
        case ".parquet":
            return pq.read_table(path).to_pylist()  # type: ignore[no-any-return]
    with ipc.open_file(path) as file:
        return file.read_all().to_pylist()  # type: ignore[no-any-return]


def test_each_row_says_what_advise_says(
    base: RuleBase, floors: list[dict[str, Value]], csv_table: Path, tmp_path: Path
) -> None:
    done = survey(csv_table, tmp_path / "out.parquet", rows=32)
    assert (done.floors, done.bad_rows) == (len(floors), 0)
    rows, reasoner = read(done.out), Reasoner(base)
    for row, facts in list(zip(rows, floors, strict=True))[::5]:
        stated = {n: Statement(cell(base, n, value)) for n, value in facts.items()}
        advice = conclude(reasoner, make_case(base, stated, date(2026, 1, 1)))
        one = advice.answer
        assert row["answer"] == one.kind
        assert (row["finish"], row["leading"], row["runner_up"], row["fallback"]) == (
            one.finish,
            one.leading,
            one.runner_up,
            one.fallback,
        )
        assert set(row["stops"]) == {each.referral for each in advice.stops}  # type: ignore[call-overload]
        assert set(row["holds"]) == {each.need for each in advice.holds}  # type: ignore[call-overload]
        for standing in advice.standings:
            assert row[f"standing.{standing.finish}"] == standing.verdict
            assert row[f"points.{standing.finish}"] == standing.total
        if not doubts(base, facts):
            shown = {h.caution for h in advice.hazards if h.floor or one.leading in h.finishes}
            assert set(row["hazards"]) == shown  # type: ignore[call-overload]


def test_weighed_questions_are_those_of_one_floor(base: RuleBase, tmp_path: Path) -> None:
    """The column and the interview, each from the stated facts, find the same question, or that it is time to stop."""
    rng, today = Random(5), date(2026, 1, 1)
    demos = [dict(read_case(path, base).facts) for path in demo_cases().values()]
    floors = [{n: value for n, value in demo.items() if rng.random() < 0.9} for demo in demos for _ in range(4)]
    pq.write_table(table_of(base, floors), tmp_path / "floors.parquet")
    rows = read(survey(tmp_path / "floors.parquet", tmp_path / "out.parquet", weigh=True).out)
    for row, facts in zip(rows, floors, strict=True):
        stated = {n: Statement(cell(base, n, value)) for n, value in facts.items()}
        interview = interview_about(base, make_case(base, stated, today), today, keep_declined=False)
        question = interview.next_question()
        interview.close()
        assert row["ask_next"] == (question.fact if question else None)
    assert len({row["ask_next"] for row in rows}) > 3


@pytest.mark.parametrize("ending", [".csv", ".parquet", ".arrow"])
def test_all_formats_give_the_same_in_and_out(
    ending: str, base: RuleBase, floors: list[dict[str, Value]], csv_table: Path, tmp_path: Path
) -> None:
    table = table_of(base, floors[:40])
    path = tmp_path / f"floors{ending}"
    if ending == ".csv":
        csv.write_csv(table, path)
    elif ending == ".parquet":
        pq.write_table(table, path, row_group_size=7)
    else:
        with ipc.new_file(path, table.schema) as writer:
            writer.write_table(table, max_chunksize=9)
    done = survey(path, tmp_path / f"out{ending}", rows=16)
    whole = read(survey(csv_table, tmp_path / "whole.parquet").out)[:40]
    simple = [(row["row"], row["floor"], row["answer"], row["leading"] or "") for row in whole]
    assert [(r["row"], r["floor"], r["answer"], r["leading"] or "") for r in read(done.out)] == simple


def test_no_result_brings_characters_that_are_obeyed(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text("floor,area,building_year\nO\u0092Brien,40 m2,1998\n\x1b[8mX,4\x1b0 m2,1998.5\n", encoding="utf-8")
    done = survey(table, tmp_path / "out.csv")
    assert [row["floor"] for row in csv.read_csv(done.out).to_pylist()] == ["O\\u0092Brien"]
    (bad,) = csv.read_csv(done.bad or "").to_pylist()
    assert bad["floor"] == "\\u001b[8mX"
    assert "only whole numbers go here" in bad["reason"]
    assert "\x1b" not in (done.bad or Path()).read_text(encoding="utf-8")


def test_a_heading_with_blanks_around_it_is_the_same_heading(tmp_path: Path) -> None:
    table = tmp_path / "blanks.csv"
    table.write_text(" floor , area\nours,20 m2\n", encoding="utf-8")
    assert pq.read_table(survey(table, tmp_path / "out.parquet").out).column("floor").to_pylist() == ["ours"]


def test_numbers_under_headings_with_units(tmp_path: Path) -> None:
    table = pa.table({"area [ft2]": [440.0, 1e9, None], "slab_humidity [%]": ["80", "70 to 75 %", "70 to 75"]})
    pq.write_table(table, tmp_path / "t.parquet")
    done = survey(tmp_path / "t.parquet", tmp_path / "out.parquet")
    assert done.bad_rows == 1
    assert "area" in (done.bad or Path()).read_text(encoding="utf-8")
    texts = tmp_path / "same.csv"
    texts.write_text("area,slab_humidity\n440 ft2,80 %\n,70 to 75 %\n", encoding="utf-8")
    same = read(survey(texts, tmp_path / "same.parquet").out)
    ours = read(done.out)
    drop = {"row"}
    assert [{k: v for k, v in r.items() if k not in drop} for r in ours] == [
        {k: v for k, v in r.items() if k not in drop} for r in same
    ]


def test_bad_rows_are_set_aside_with_number_and_reason(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text(
        "floor,room,slab_humidity,time_in_use,slab_age\n"
        "a,garage,80 %,,\n"
        "b,garrage,80 %,,\n"
        "c,garage,80,,\n"
        "d,garage,80 %\n"
        "e,garage,180 %,,\n"
        "f,garage,80 %,9 years,1 year\n"
        "g,garage,unknown,,\n",
        encoding="utf-8",
    )
    done = survey(path, tmp_path / "out.csv", rows=3)
    assert [row["floor"] for row in read(done.out)] == ["a", "g"]
    assert [row["row"] for row in read(done.out)] == [1, 7]
    assert done.bad
    bad = {row["row"]: str(row["reason"]) for row in csv.read_csv(done.bad).to_pylist()}
    assert list(bad) == [2, 3, 4, 5, 6]
    assert "garage" in bad[2]
    assert "no unit" in bad[3]
    assert "cells" in bad[4]
    assert "outside" in bad[5]
    assert "longer than the slab" in bad[6]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("floor,slab_humidty\na,1\n", "slab_humidity"),
        ("floor\na\n", "no column states a fact"),
        ("area,area [ft2]\n1,1\n", "twice"),
        ("floor, floor,area\na,b,1 m2\n", "twice"),
        ("area [kg]\n1\n", "kg"),
        ("dew_point_margin\n1\n", "worked out"),
    ],
)
def test_bad_headings_are_refused_and_nothing_is_left(content: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(BadTable, match=said):
        survey(path, tmp_path / "out.csv")
    assert not (tmp_path / "out.csv").exists()


def test_a_table_without_rows_is_refused_and_nothing_is_left(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text("floor,area [ft2]\n", encoding="utf-8")
    pq.write_table(csv.read_csv(table), tmp_path / "t.parquet")
    for path in (table, tmp_path / "t.parquet"):
        with pytest.raises(BadTable, match="it holds no floors"):
            survey(path, tmp_path / "out.csv")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["t.csv", "t.parquet"]


def test_half_done_work_that_cannot_be_read_is_no_reason_to_fall_over(csv_table: Path, tmp_path: Path) -> None:
    parts = tmp_path / "out.csv.parts"
    parts.mkdir()
    (parts / "survey.json").write_text("{", encoding="utf-8")
    with pytest.raises(BadTable, match="another table"):
        survey(csv_table, tmp_path / "out.csv")
    parts.rename(tmp_path / "kept")
    parts.write_text("a file", encoding="utf-8")
    with pytest.raises(CannotWrite, match=r"out\.csv\.parts"):
        survey(csv_table, tmp_path / "out.csv")


def test_a_result_is_never_written_over(csv_table: Path, tmp_path: Path) -> None:
    (tmp_path / "out.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(CannotWrite, match="already"):
        survey(csv_table, tmp_path / "out.csv")
    with pytest.raises(CannotWrite, match=r"\.xls"):
        survey(csv_table, tmp_path / "out.xls")
    with pytest.raises(BadTable, match="no such file"):
        survey(tmp_path / "missing.csv", tmp_path / "other.csv")
    (tmp_path / "t.parquet").write_bytes(b"no parquet")
    with pytest.raises(BadTable, match="PARQUET"):
        survey(tmp_path / "t.parquet", tmp_path / "other.csv")


SLOWLY = """
import sys, time
from pathlib import Path
from advisor.survey import survey
put = survey.Pieces.put
def slowly(*given):
    put(*given)
    time.sleep(0.15)
survey.Pieces.put = slowly
survey.survey(Path(sys.argv[1]), Path(sys.argv[2]), rows=8)
"""


def test_a_kill_loses_and_doubles_nothing(csv_table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed outright (no time to tidy up) in the middle, and run again: the same table as in one go."""
    out = tmp_path / "out.parquet"
    parts = tmp_path / "out.parquet.parts"
    process = subprocess.Popen([sys.executable, "-c", SLOWLY, str(csv_table), str(out)])
    for _ in range(2400):  # the first piece takes a while where the machine is busy
        if len(list(parts.glob("part-*.arrow"))) >= 3:
            break
        time.sleep(0.05)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    done_before = {int(path.stem.removeprefix("part-")) for path in parts.glob("part-*.arrow")}
    assert 3 <= len(done_before) < 12
    assert not out.exists()
    worked: list[int] = []
    put_now: set[int] = set()
    put = Pieces.put

    def noting(pieces: Pieces, number: int, *given: Any) -> None:
        put_now.add(number)
        put(pieces, number, *given)

    monkeypatch.setattr(Pieces, "put", noting)
    done = survey(csv_table, out, rows=8, progress=worked.append)
    assert sum(worked) == done.floors == 90
    assert put_now == set(range(12)) - done_before
    whole = survey(csv_table, tmp_path / "whole.parquet", rows=8)
    assert pq.read_table(out).equals(pq.read_table(whole.out))
    assert not parts.exists()


def test_half_done_work_on_another_table_is_not_mixed_in(csv_table: Path, tmp_path: Path) -> None:
    parts = tmp_path / "out.csv.parts"
    parts.mkdir()
    (parts / "survey.json").write_text('{"table": "another.csv"}', encoding="utf-8")
    with pytest.raises(BadTable, match="another table"):
        survey(csv_table, tmp_path / "out.csv")


def test_two_processes_give_the_same(csv_table: Path, tmp_path: Path) -> None:
    with workers_of(2) as (executor, count):
        assert count == 2
        both = survey(csv_table, tmp_path / "two.parquet", Rules(), executor, count, rows=16)
    one = survey(csv_table, tmp_path / "one.parquet", rows=16)
    assert pq.read_table(both.out).equals(pq.read_table(one.out))


def test_rules_edited_between_two_surveys_of_one_process_are_read_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process that lives on gives what a new one gives; it once went on with the rules that it had read first."""
    table, shop = tmp_path / "floors.csv", tmp_path / "shop"
    table.write_text("floor,room\na,garage\n", encoding="utf-8")
    shop.mkdir()
    rule = (
        "rules:\n  - id: shop.garages\n    judges: every finish\n    when: {{room: garage}}\n"
        "    then: {{points: {{durability: {points}}}}}\n"
        "    because: The shop says so.\n    sources: [common_practice]\n"
    )
    totals = []
    for points in (1, 2):
        (shop / "own.yaml").write_text(rule.format(points=points), encoding="utf-8")
        kept_unproved(monkeypatch, tmp_path / "store", shop)
        here = survey(table, tmp_path / f"here_{points}.parquet", Rules((shop,)))
        with workers_of(2) as (executor, count):
            there = survey(table, tmp_path / f"there_{points}.parquet", Rules((shop,)), executor, count)
        assert pq.read_table(here.out).equals(pq.read_table(there.out))
        totals.append(read(here.out)[0]["points.left_as_it_is"])
    assert totals[0] != totals[1]


def test_a_worker_with_other_rules_is_refused_and_no_result_is_written(csv_table: Path, tmp_path: Path) -> None:
    """As where the machines of a cluster differ, or somebody edits the rules while the survey is at work."""

    class Elsewhere(Executor):
        def __init__(self, differs: str) -> None:
            self.differs = differs

        def submit(self, work: Any, /, *given: Any, **_: Any) -> Future[Any]:
            there, (rules, by, *rest) = work.func, work.args
            return pool.submit(there, rules, by._replace(**{self.differs: "0" * 16}), *rest, *given)

    with workers_of(2) as (pool, count):
        assert pool
        for differs in ("rules", "program"):
            with pytest.raises(BadTable) as refused:
                survey(csv_table, tmp_path / "out.parquet", Rules(), Elsewhere(differs), count, rows=16)
            assert str(refused.value).startswith("worker ")
            assert "are others than those that this survey began with" in str(refused.value)
            assert [path.name for path in tmp_path.iterdir()] == []


def test_pieces_by_another_version_are_not_mixed_in(csv_table: Path, tmp_path: Path) -> None:
    out, by = tmp_path / "out.parquet", Versions.of(load_rulebase())._replace(program="0" * 16)
    with Pieces(out, csv_table, by, 8, False).held():
        pass
    with pytest.raises(BadTable, match="another version"):
        survey(csv_table, out, rows=8)


@pytest.fixture
def scheduler() -> Iterator[str]:
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        yield cluster.scheduler_address


@pytest.mark.filterwarnings("default")
def test_a_cluster_of_two_workers_gives_the_same(scheduler: str, csv_table: Path, tmp_path: Path) -> None:
    with workers_of(1, scheduler) as (executor, count):
        assert count == 2
        there = survey(csv_table, tmp_path / "there.parquet", Rules(), executor, count, rows=16)
    here = survey(csv_table, tmp_path / "here.parquet", rows=16)
    assert pq.read_table(there.out).equals(pq.read_table(here.out))


@pytest.mark.filterwarnings("default")
def test_a_cluster_that_does_not_answer_is_named() -> None:
    with pytest.raises(NoCluster, match="nonsense"), workers_of(1, "nonsense://here"):
        pass


def test_the_summary_counts_and_the_page_shows_it(csv_table: Path, tmp_path: Path) -> None:
    done = survey(csv_table, tmp_path / "out.csv")
    summary = summarise(done, load_rulebase())
    rows = read(done.out)
    for kind, count in summary.counts["answer"].items():
        assert count == sum(row["answer"] == kind for row in rows)
    assert sum(summary.counts["answer"].values()) == len(rows)
    holds = [name for row in rows for name in str(row["holds"]).split("; ") if name]
    assert summary.counts["holds"] == {name: holds.count(name) for name in set(holds)}
    with StringIO() as printed:
        print_page(summary.page(pictures=False), Console(file=printed, width=80))
        lines = printed.getvalue().splitlines()
    assert "  90 floors; 0 rows set aside." in lines
    assert max(map(len, lines)) <= 80
    assert any(line.split()[:2] == ["professional", str(summary.counts["answer"]["professional"])] for line in lines)
    page = tmp_path / "page.html"
    write_page(summary.page(), page)
    text = page.read_text(encoding="utf-8")
    assert text.count("<svg") == text.count("<h2>") >= 5
    assert text.count("<table>") == text.count("<svg") - 1
    again = tmp_path / "again.html"
    write_page(summary.page(), again)
    assert again.read_text(encoding="utf-8") == text
    with pytest.raises(CannotWrite):
        check_file(tmp_path / "page.doc")


def test_the_page_names_the_rule_base_that_answered(
    csv_table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop, out, page = tmp_path / "shop", tmp_path / "o.parquet", tmp_path / "p.html"
    shop.mkdir()
    (shop / "own.yaml").write_text(
        "limits: {shop_own: {is: 5 mm, means: a gap that this shop fills, source: common_practice}}\n"
    )
    kept_unproved(monkeypatch, tmp_path / "store", shop)
    command = [sys.executable, "-m", "advisor", "survey", str(csv_table), "--rules", str(shop)]
    subprocess.run([*command, "--out", str(out), "--page", str(page)], capture_output=True, text=True, check=True)
    laid_over, shipped = load_rulebase(shop), load_rulebase()
    assert laid_over.fingerprint in (text := page.read_text(encoding="utf-8"))
    assert "with shop" in text
    assert shipped.fingerprint not in text


def test_from_the_command_line(csv_table: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "advisor", "survey", str(csv_table), "--out", str(tmp_path / "o.csv")]
    ran = subprocess.run([*command, "--page", str(tmp_path / "p.html")], capture_output=True, text=True, check=True)
    assert "  90 floors; 0 rows set aside.\n" in ran.stdout
    assert "p.html" in ran.stderr
    assert "\x1b" not in ran.stdout + ran.stderr
    again = subprocess.run(command, capture_output=True, text=True, check=False)
    assert again.returncode == 2
    assert "already" in again.stderr
    assert "Traceback" not in again.stderr


def test_a_makers_sheet_stands_in_every_row_as_it_does_for_one_floor(
    base: RuleBase, floors: list[dict[str, Value]], tmp_path: Path
) -> None:
    facts = {"slab_humidity": "88 %", "humidity_holes": "3", "at_service_conditions": "yes", "area": "40 m2"}
    wet = {name: read_fact(base, name, text, "test") for name, text in facts.items()}
    csv_table = tmp_path / "floors.csv"
    csv.write_csv(table_of(base, [*floors[::9], wet]), csv_table)
    sheet = tmp_path / "grey.yaml"
    sheet.write_text("product: Invented Grey\nlike: epoxy_solid\nhumidity: 90 %\nemission: 8 lb\n", encoding="utf-8")
    rows = read(advisor.survey_table(csv_table, tmp_path / "out.parquet", products=[sheet]).out)
    adviser = advisor.load(products=[sheet])
    finish = adviser.base.products[0].finish
    own, other = f"standing.{finish}", "standing.epoxy_solid"
    assert any(row[own] != row[other] for row in rows)
    stated = csv.read_csv(csv_table).to_pylist()
    for row, cells in zip(rows, stated, strict=True):
        facts = {name: str(cell) for name, cell in cells.items() if name != "floor" and cell not in (None, "")}
        advice = adviser.advise(adviser.case(facts), certainty=False)
        assert row[own] == next(each.verdict for each in advice.standings if each.finish == finish)


def test_a_shops_own_prices_are_those_of_cost_in_its_own_money(csv_table: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.csv"
    book.write_text(
        "kind,item,for,description,pack,unit,parts,price,price_high,currency,date\n"
        "tax,united_kingdom,goods hire,,,percent added,,20,,GBP,2026-01-05\n"
        "goods,flakes-own,flakes,our flakes,10,kg,,55.00,60.00,GBP,2026-01-05\n",
        encoding="utf-8",
    )
    done = survey(csv_table, tmp_path / "out.parquet", prices=book)
    rows, stated = read(done.out), csv.read_csv(csv_table).to_pylist()
    adviser = advisor.load()
    told = 0
    for row, cells in zip(rows, stated, strict=True):
        if row["cost_low"] is None or told == 8:
            continue
        told += 1
        facts = {name: str(cell) for name, cell in cells.items() if name != "floor" and cell not in (None, "")}
        study = adviser.take_off(adviser.case(facts), prices=book)
        job = study.job(str(row["leading"]))
        low, high = cost_range(job, study.book)
        assert (row["currency"], study.book.currency) == ("GBP", "GBP")
        assert (row["cost_low"], row["cost_high"]) == pytest.approx((low.total, high.total))
        assert (row["hours_low"], row["hours_high"]) == pytest.approx(work_hours(job))
    assert told == 8
    printed = StringIO()
    with Console(file=printed, width=120) as console:
        print_page(summarise(done, adviser.base, own_prices=True).page(pictures=False), console)
    assert "GBP" in printed.getvalue()
    assert "invented" not in printed.getvalue()
