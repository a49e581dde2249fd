"""Files are put in place whole or not at all, and a place where none can be put is refused with nothing left behind."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from explanations.errors import CannotWrite
from explanations.files import check_new_folder, check_place, write_folder, write_whole, writing

PICTURES = (".svg", ".prov.json", ".json")


def names(folder: Path) -> list[str]:
    return sorted(each.relative_to(folder).as_posix() for each in folder.rglob("*"))


@pytest.fixture
def place(tmp_path: Path) -> Path:
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "file.svg").write_text("old")
    (tmp_path / "device.svg").symlink_to(os.devnull)
    os.mkfifo(tmp_path / "pipe.svg")
    (tmp_path / "round.svg").symlink_to("other.svg")
    (tmp_path / "other.svg").symlink_to("round.svg")
    return tmp_path


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("why.gif", r'cannot end in "\.gif"; allowed: \.svg, \.prov\.json, \.json'),
        ("why", "has no ending; allowed"),
        ("none/why.svg", "no folder .*none; make it first"),
        ("file.svg/why.svg", "no folder"),
        ("folder.svg", "this is a folder; name a file"),
        ("device.svg", "no plain file"),
        ("pipe.svg", "no plain file"),
        (f"{'a' * 300}.svg", "cannot be written .*too long.*; name a file in a folder that you may write to"),
        ("/proc/why.svg", "cannot be written"),
        ("why\0.svg", "no file can have such a name"),
        (".svg", "no file can have such a name"),
        ("round.svg", "links lead round in a circle"),
        ("round.svg/why.svg", "no folder"),
    ],
)
def test_a_place_where_no_file_can_be_put_is_refused(place: Path, name: str, said: str) -> None:
    before = names(place)
    with pytest.raises(CannotWrite, match=said) as refused:
        check_place(place / name, PICTURES)
    assert str(refused.value).startswith(str(place / name))
    assert names(place) == before


def test_a_place_that_will_do_gives_its_longest_ending_and_stays_as_it_was(place: Path) -> None:
    before = names(place)
    assert check_place(place / "new.SVG", PICTURES) == ".svg"
    assert check_place(place / "new.prov.json", PICTURES) == ".prov.json"
    assert check_place(place / "file.svg", PICTURES) == ".svg"
    assert check_place(place / "any") == ""
    assert (place / "file.svg").read_text() == "old"
    assert names(place) == before


def test_a_file_that_must_stay_is_refused(place: Path) -> None:
    check_place(place / "new.svg", PICTURES, new=True)
    with pytest.raises(CannotWrite, match="exists already"):
        check_place(place / "file.svg", PICTURES, new=True)


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is protected from root")
def test_what_is_protected_from_writing_is_refused(place: Path) -> None:
    (place / "file.svg").chmod(0o444)
    with pytest.raises(CannotWrite, match="protected"):
        check_place(place / "file.svg", PICTURES)
    place.chmod(0o555)
    with pytest.raises(CannotWrite, match="cannot be written"):
        check_place(place / "new.svg", PICTURES)
    place.chmod(0o755)


def test_a_file_is_written_whole_and_through_a_link(place: Path) -> None:
    (place / "link.svg").symlink_to("file.svg")
    before = names(place)
    write_whole(place / "link.svg", b"new")
    assert (place / "link.svg").is_symlink()
    assert (place / "file.svg").read_bytes() == b"new"
    assert names(place) == before


@pytest.mark.parametrize("name", ["folder.svg", "file.svg/why.svg", "none/why.svg", f"{'a' * 300}.svg", "/proc/x.svg"])
def test_a_file_that_cannot_be_written_leaves_nothing(place: Path, name: str) -> None:
    before = names(place)
    with pytest.raises(CannotWrite, match="cannot be written"):
        write_whole(place / name, b"new")
    assert names(place) == before


def test_a_full_disk_leaves_the_old_file(place: Path) -> None:
    """The limit on a file's size, set in a process of its own, stands for the full disk."""
    code = (
        "import resource, signal, sys; from pathlib import Path; from explanations.files import write_whole\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN); resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "write_whole(Path(sys.argv[1]), b'n' * 5000)"
    )
    before = names(place)
    done = subprocess.run(
        [sys.executable, "-c", code, str(place / "file.svg")], capture_output=True, text=True, timeout=60
    )
    assert "CannotWrite" in done.stderr
    assert "File too large" in done.stderr
    assert (place / "file.svg").read_text() == "old"
    assert names(place) == before


def test_a_folder_to_be_filled_is_new_or_empty(place: Path) -> None:
    before = names(place)
    check_new_folder(place / "folder.svg")
    check_new_folder(place / "none")
    refused = {"": "not empty", "none/deeper": "there is no folder", "file.svg": "no folder", "file.svg/in": "cannot"}
    for name, said in {**refused, "/proc/in": "cannot"}.items():
        with pytest.raises(CannotWrite, match=said):
            check_new_folder(place / name)
    assert names(place) == before


def test_what_another_library_writes_is_worded_alike(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match=r"table\.csv: cannot be written \(No such file"), writing(Path("table.csv")):
        (tmp_path / "none" / "table.csv").write_text("")


def test_a_rewritten_file_keeps_its_mode_and_its_other_names(tmp_path: Path) -> None:
    file, other = tmp_path / "case.yaml", tmp_path / "other.yaml"
    file.write_text("old")
    file.chmod(0o600)
    write_whole(file, b"new")
    assert (file.read_text(), file.stat().st_mode & 0o777) == ("new", 0o600)
    write_whole(tmp_path / "made_from_it.yaml", b"new", like=file)
    assert (tmp_path / "made_from_it.yaml").stat().st_mode & 0o777 == 0o600
    other.hardlink_to(file)
    write_whole(file, b"newer")
    assert other.read_text() == "newer"
    assert other.samefile(file)
    assert names(tmp_path) == ["case.yaml", "made_from_it.yaml", "other.yaml"]


@pytest.mark.parametrize("there", [False, True])
def test_a_folder_is_there_with_all_its_files_or_not_at_all(tmp_path: Path, there: bool) -> None:
    folder = tmp_path / "set"
    if there:
        folder.mkdir(mode=0o700)
    with pytest.raises(CannotWrite, match="set: cannot be written"):  # as a full disk does: in the midst of it
        write_folder(folder, {"one": b"1", "two/three": b"2"})
    assert names(tmp_path) == ["set"] * there
    assert write_folder(folder, {"one": b"1", "two": b"2"}) == [folder / "one", folder / "two"]
    assert names(tmp_path) == ["set", "set/one", "set/two"]
    assert not there or folder.stat().st_mode & 0o777 == 0o700
    with pytest.raises(CannotWrite, match="not empty"):
        write_folder(folder, {})
