"""Nothing of the user's is lost: not to two surveys at once, to odd tables, to leftovers, or to a spreadsheet."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from advisor.survey import pieces as module
from advisor.survey.survey import survey
from advisor.survey.tables import BadTable, row_count
from advisor.validation.loading import load_rulebase
from explanations.errors import CannotWrite

ROWS = [f"floor {n},{10 + n} m2,garage" for n in range(40)]


@pytest.fixture
def table(tmp_path: Path) -> Path:
    return written(tmp_path / "floors.csv", ROWS)


def written(path: Path, rows: list[str], head: str = "floor,area,room") -> Path:
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "content",
    [
        'floor,area\n"a,40 m2\nb,30 m2\nc",3 m2\nd,4 m2\n',
        'floor,area\n"a,40 m2\nc",3 m2\n',
        'floor,area,room\na,"40 m2,garage\nb,30 m2,garage\nc,4 m2",garage\n',
        'floor,area,room\r\n"a,4 m2,garage\r\nb,3 m2,garage",4 m2,garage\r\n',
    ],
)
def test_rows_between_two_quotation_marks_too_many_are_found(tmp_path: Path, content: str) -> None:
    """The second mark closes what the first opened, so that all between is one cell and the table is CSV."""
    (tmp_path / "floors.csv").write_text(content, encoding="utf-8", newline="")
    with pytest.raises(BadTable, match=r"row 2.*rows that are whole by themselves"):
        survey(tmp_path / "floors.csv", tmp_path / "out.csv")


def test_a_name_of_several_lines_is_one_name(tmp_path: Path) -> None:
    table = tmp_path / "floors.csv"
    table.write_text('floor,area,room\n"Main St 5, back\nyard",40 m2,garage\n', encoding="utf-8")
    assert survey(table, tmp_path / "out.csv").floors == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("floor;area\na;40 m2\n", "separated by `;`"),
        ("floor\tarea\na\t40 m2\n", "separated by tabs"),
        ("# mine\nfloor,area\na,40 m2\n", "none of its 2 rows has as many cells"),
    ],
)
def test_what_is_no_table_of_commas_is_refused_in_words(tmp_path: Path, content: str, said: str) -> None:
    (tmp_path / "floors.csv").write_text(content, encoding="utf-8")
    with pytest.raises(BadTable, match=said):
        survey(tmp_path / "floors.csv", tmp_path / "out.csv")


def test_an_unclosed_quotation_mark_is_found_and_no_row_is_lost(tmp_path: Path) -> None:
    rows = [*ROWS[:20], '"floor 20,30 m2,garage', *ROWS[21:]]
    table, out = written(tmp_path / "floors.csv", rows), tmp_path / "out.parquet"
    with pytest.raises(BadTable, match=r"row 22.*\n.*never closed"):
        survey(table, out)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["floors.csv"]


def test_a_quotation_mark_that_another_closes_later_is_found_too(tmp_path: Path) -> None:
    rows = [*ROWS[:20], '"floor 20,30 m2,garage', *ROWS[21:30], '"floor 30",40 m2,garage', *ROWS[31:]]
    with pytest.raises(BadTable, match="row 22"):
        survey(written(tmp_path / "floors.csv", rows), tmp_path / "out.parquet")


def test_a_cell_may_hold_a_line_break_and_every_row_is_accounted_for(tmp_path: Path) -> None:
    rows = ['"two\nlines",20 m2,garage', "one,two,three,four", "short", "odd,nonsense,garage", *ROWS]
    done = survey(written(tmp_path / "floors.csv", rows), tmp_path / "out.parquet")
    assert (done.floors, done.bad_rows) == (len(ROWS) + 1, 3)
    assert pq.read_table(done.out).column("floor")[0].as_py() == "two\nlines"
    assert done.bad is not None
    with done.bad.open(encoding="utf-8", newline="") as file:
        told = {int(row["row"]): row["reason"] for row in csv.DictReader(file)}
    assert told.keys() == {2, 3, 4}
    assert told[2] == "it has 4 cells under 3 headings"
    assert told[3] == "it has 1 cell under 3 headings"


def test_where_rows_would_be_missing_nothing_is_written(table: Path, tmp_path: Path, monkeypatch) -> None:
    """The last guard: the result and the bad rows are as many as the rows read, or there is no result."""
    put = module.Pieces.put
    monkeypatch.setattr(module.Pieces, "put", lambda self, n, advice, bad: put(self, n, advice.slice(1), bad))
    with pytest.raises(BadTable, match="39 floors and 0 rows set aside do not add up to the 40 rows"):
        survey(table, tmp_path / "out.parquet")
    assert not (tmp_path / "out.parquet").exists()


@pytest.mark.parametrize("name", ["out.bad.csv", "out.parquet"])
def test_no_file_of_the_user_s_is_replaced(tmp_path: Path, name: str) -> None:
    """The file of bad rows may even be the table itself."""
    table = written(tmp_path / "out.bad.csv", ROWS)
    (tmp_path / "out.parquet").write_text("mine") if name == "out.parquet" else None
    before = table.read_bytes()
    with pytest.raises(CannotWrite, match=f"{name}.*exists already"):
        survey(table, tmp_path / "out.parquet")
    assert table.read_bytes() == before


def test_two_surveys_at_once_do_not_mix(table: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.parquet"
    with module.Pieces(out, table, module.Versions.of(load_rulebase()), 8, False).held():
        with pytest.raises(BadTable, match="another survey is writing this result"):
            survey(table, out, rows=8)
        command = [sys.executable, "-m", "advisor", "survey", str(table), "--out", str(out), "--rows", "8"]
        second = subprocess.run(command, capture_output=True, text=True, check=False)
        assert second.returncode == 2
        assert "Wait for it" in second.stderr
    assert survey(table, out, rows=8).floors == len(ROWS)
    assert not out.with_name("out.parquet.parts").exists()


def test_pieces_of_unknown_work_are_not_taken_over(table: Path, tmp_path: Path) -> None:
    parts = tmp_path / "out.parquet.parts"
    parts.mkdir()
    (parts / "part-000000.arrow").write_bytes(b"of another table")
    with pytest.raises(BadTable, match="do not say which work"):
        survey(table, tmp_path / "out.parquet")
    assert (parts / "part-000000.arrow").read_bytes() == b"of another table"


def test_a_table_of_the_same_name_and_size_is_another_table(table: Path, tmp_path: Path, monkeypatch) -> None:
    out, stopped = tmp_path / "out.parquet", RuntimeError("stopped")

    def stop(self: module.Pieces, malformed: object, read: int) -> None:
        raise stopped

    with monkeypatch.context() as patch:
        patch.setattr(module.Pieces, "join", stop)
        with pytest.raises(RuntimeError):
            survey(table, out, rows=8)
    about = table.stat()
    written(table, [row.replace("garage", "studio") for row in ROWS])
    os.utime(table, ns=(about.st_atime_ns, about.st_mtime_ns))
    assert table.stat().st_size == about.st_size
    with pytest.raises(BadTable, match="half-done work"):
        survey(table, out, rows=8)


def test_a_refused_table_leaves_nothing_behind_and_can_be_mended(tmp_path: Path) -> None:
    table, out = written(tmp_path / "floors.csv", ROWS, "floor,area,rooom"), tmp_path / "out.parquet"
    with pytest.raises(BadTable, match="rooom"):
        survey(table, out)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["floors.csv"]
    assert survey(written(table, ROWS), out).floors == len(ROWS)


@pytest.mark.parametrize("text", ["=cmd|x!A1", "@SUM(1)", "+1", "-1", "\t=1", "'=1", "＝1"])
def test_a_spreadsheet_runs_nothing_and_the_text_reads_back(tmp_path: Path, text: str) -> None:
    """OWASP, "CSV Injection": a cell that begins with = + - @ (tab, carriage return) is neutralised."""
    table = tmp_path / "floors.parquet"
    pq.write_table(pa.table({"floor": [text, text], "area": ["20 m2", "nonsense"]}), table)
    done = survey(table, tmp_path / "out.csv")
    assert done.bad is not None
    for file in (done.out, done.bad):
        with file.open(encoding="utf-8", newline="") as opened:
            cell = next(csv.DictReader(opened))["floor"]
        assert cell == f"'{text}"
    again = written(tmp_path / "again.csv", [f'"{cell}",20 m2,garage'])
    assert pq.read_table(survey(again, tmp_path / "again.parquet").out).column("floor").to_pylist() == [text]


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({"floor": [b"\xff"], "area": ["20 m2"]}, r'"floor" are of a kind that states no fact \(binary\)'),
        ({"area": [["20 m2"]]}, r'"area" are of a kind that states no fact \(list'),
        ({"area": [{"a": 1}]}, r'"area" are of a kind that states no fact \(struct'),
    ],
)
def test_columns_of_other_kinds_are_named(tmp_path: Path, columns: dict[str, list[object]], said: str) -> None:
    pq.write_table(pa.table(columns), tmp_path / "odd.parquet")
    with pytest.raises(BadTable, match=said):
        survey(tmp_path / "odd.parquet", tmp_path / "out.parquet")


def test_two_columns_of_floor_names_are_named(tmp_path: Path) -> None:
    table = written(tmp_path / "floors.csv", ["a,b,20 m2"], "floor,floor,area")
    with pytest.raises(BadTable, match='"floor" is there twice'):
        survey(table, tmp_path / "out.parquet")


def test_a_whole_number_too_large_to_be_exact_is_out_of_range(tmp_path: Path) -> None:
    pq.write_table(pa.table({"area [m2]": [2**60 + 1, 20]}), tmp_path / "floors.parquet")
    done = survey(tmp_path / "floors.parquet", tmp_path / "out.parquet")
    assert (done.floors, done.bad_rows) == (1, 1)


def test_a_pipe_is_no_table(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    assert row_count(tmp_path / "pipe.csv") is None
    with pytest.raises(BadTable, match="no plain file"):
        survey(tmp_path / "pipe.csv", tmp_path / "out.parquet")


def test_a_folder_is_no_table(tmp_path: Path) -> None:
    (tmp_path / "folder.csv").mkdir()
    with pytest.raises(BadTable, match="it is a folder"):
        survey(tmp_path / "folder.csv", tmp_path / "out.parquet")
