"""Every broken project gives one clear line that names the file, the place and what is wrong; never a traceback."""

import os
import time
from contextlib import nullcontext

import pytest

from layout.formats.project_file import parse_project, read_project
from layout.model.errors import FileError
from tests.support.broken_files import as_nobody, broken_names, broken_projects, good_bytes


@pytest.fixture(scope="module")
def broken(tmp_path_factory):
    made = broken_projects(tmp_path_factory.mktemp("broken"))
    assert [b.name for b in made] == broken_names()
    return {b.name: b for b in made}


def test_what_they_are_made_from_is_good():
    assert parse_project(good_bytes(), "good.json").name == "two leaves"


@pytest.mark.parametrize("name", broken_names())
def test_gives_one_clear_line(broken, name):
    if broken[name].guarded and os.name == "nt":
        pytest.skip("a file's rights are kept another way on this system")
    line, seconds = refusal(broken[name])
    assert line.startswith(f"{broken[name].path}: ")
    assert broken[name].says in line
    assert line.isprintable()  # so no line break either
    assert len(line) < 250 + len(str(broken[name].path))
    assert seconds < 5.0  # even 100 MB are refused at once, by their size


def refusal(broken):
    start = time.process_time()
    with as_nobody() if broken.guarded else nullcontext(), pytest.raises(FileError) as caught:
        read_project(broken.path)
    return str(caught.value), time.process_time() - start


@pytest.mark.parametrize("at", range(1, len(good_bytes()) - 1, 61))
def test_cut_off_anywhere_it_says_so(at):
    with pytest.raises(FileError, match=r"cut off: it ends inside what begins at line \d+, column \d+") as caught:
        parse_project(good_bytes()[:at], "cut.json")
    assert "\n" not in str(caught.value)


def test_a_pipe_does_not_block(tmp_path):
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes in the file system here")
    os.mkfifo(tmp_path / "pipe.json")
    with pytest.raises(FileError, match="not a plain file"):
        read_project(tmp_path / "pipe.json")


def test_a_name_with_a_line_break_stays_on_one_line(tmp_path):
    with pytest.raises(FileError) as caught:
        read_project(tmp_path / "two\nlines.json")
    assert "\n" not in str(caught.value)
    assert "two\\nlines.json" in str(caught.value)
