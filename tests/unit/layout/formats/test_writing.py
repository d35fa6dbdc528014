"""A file is replaced whole or not at all, and keeps its rights and its place."""

import json
import os
import stat

import pytest

from layout.formats import writing
from layout.formats.writing import file_stem, write_bytes
from layout.model.errors import FileError
from tests.support.broken_files import as_nobody


def test_a_fault_half_way_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "p.json"
    path.write_bytes(b"old")

    def fail(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing.os, "fsync", fail)
    with pytest.raises(FileError, match=r"p\.json: not saved \(No space left on device\); choose another folder"):
        write_bytes(b"new", path)
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["p.json"]


def test_even_a_killed_write_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "p.json"
    path.write_bytes(b"old")

    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(writing.os, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write_bytes(b"new", path)
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["p.json"]


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(FileError, match="not saved"):
        write_bytes(b"new", tmp_path / "nowhere" / "p.json")


def test_a_folder_in_its_place(tmp_path):
    (tmp_path / "p.json").mkdir()
    with pytest.raises(FileError, match="not saved"):
        write_bytes(b"new", tmp_path / "p.json")
    assert os.listdir(tmp_path) == ["p.json"]


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX systems")
def test_a_folder_that_is_guarded(tmp_path):
    with as_nobody(), pytest.raises(FileError, match="not saved"):
        write_bytes(b"new", tmp_path / "p.json")


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX systems")
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644])
def test_rights_stay(tmp_path, mode):
    path = tmp_path / "p.json"
    path.write_bytes(b"old")
    path.chmod(mode)
    write_bytes(b"new", path)
    assert stat.S_IMODE(path.stat().st_mode) == mode


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX systems")
def test_a_new_file_has_the_usual_rights(tmp_path):
    (tmp_path / "usual").write_bytes(b"")
    write_bytes(b"new", tmp_path / "p.json")
    assert (tmp_path / "p.json").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_a_link_stays_a_link(tmp_path):
    try:
        (tmp_path / "link.json").symlink_to(tmp_path / "p.json")
    except OSError:
        pytest.skip("links are not allowed here")
    write_bytes(b"new", tmp_path / "link.json")
    assert (tmp_path / "link.json").is_symlink()
    assert (tmp_path / "p.json").read_bytes() == b"new"


def test_what_could_not_be_read_again_is_not_written(tmp_path):
    with pytest.raises(FileError, match="larger than 16 MB"):
        write_bytes(b" " * (16 * 2**20 + 1), tmp_path / "p.json")
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize(
    ("words", "stem"),
    [
        ("Boxes, small (2)", "Boxes, small (2)"),
        ("tags 1/2", "tags 1-2"),
        ('a:b*c?"d"', "a-b-c--d-"),
        ("line\nbreak", "line-break"),
        (" .. ", "untitled"),
    ],
)
def test_a_file_is_named_as_every_system_allows_and_keeps_commas(words, stem):
    assert file_stem(words) == stem


@pytest.mark.parametrize("long", [100, 117, 118, 130, 5000])
def test_a_long_text_stays_a_text(long: int) -> None:
    tree = {"name": "x" * long, "dies": [{"id": "y" * long}, ["z" * long, 1.5]]}
    assert json.loads(writing.to_bytes(tree)) == tree
