"""The headless command: exit codes, one clear line, streamed plans, and a stop that keeps the best."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from layout.__main__ import main
from layout.formats.plan_file import parse_plan, plan_bytes, read_plan
from layout.formats.project_file import parse_project, read_project
from layout.planning import command
from layout.planning.planner import Limits
from tests.support import shared
from tests.support.broken_files import as_nobody, broken_projects, good_bytes, good_tree, square
from tests.support.checked import assert_good


@pytest.fixture(autouse=True)
def _signals_as_before():
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


@pytest.fixture
def good(tmp_path):
    path = tmp_path / "good.json"
    path.write_bytes(good_bytes())
    return path


def plan_command(project, out, *more):
    return main(["plan", str(project), "--out", str(out), *more])


def test_zero_where_all_is_placed(good, tmp_path, capsys):
    out = tmp_path / "plan.json"
    assert plan_command(good, out, "--seconds", "60") == 0
    said = capsys.readouterr()
    assert said.err == ""
    plan = read_plan(out)
    assert f"{plan.passes} pass" in said.out
    assert plan.status == "complete"
    assert_good(read_project(good), plan)


def test_three_where_a_piece_has_no_paper(tmp_path, capsys):
    tree = good_tree()
    tree["scraps"][0]["outline"] = square(15)
    tree["scraps"][0]["spoiled"] = []
    project, out = tmp_path / "small.json", tmp_path / "plan.json"
    project.write_text(json.dumps(tree))
    assert plan_command(project, out, "--seconds", "2") == 3
    plan = read_plan(out)
    assert plan.status == "partial"
    assert "missing" in capsys.readouterr().out
    assert_good(read_project(project), plan)


def test_two_and_one_line_where_the_project_cannot_be_read(tmp_path, capsys):
    out = tmp_path / "plan.json"
    for broken in broken_projects(tmp_path / "broken"):
        if broken.guarded:  # as another user: see the reader's own test
            continue
        assert plan_command(broken.path, out) == 2, broken.name
        said = capsys.readouterr()
        assert said.out == "", broken.name
        assert said.err.count("\n") == 1, broken.name
        assert broken.says in said.err, broken.name
        assert not out.exists(), broken.name


def test_a_plan_that_is_there_stays_where_the_project_cannot_be_read(tmp_path):
    out = tmp_path / "plan.json"
    out.write_text("yesterday's plan")
    assert plan_command(tmp_path / "missing.json", out) == 2
    assert out.read_text() == "yesterday's plan"


@pytest.mark.skipif(os.name == "nt", reason="a file's rights are kept another way on this system")
def test_two_where_the_project_may_not_be_read(tmp_path, capsys):
    tmp_path.chmod(0o755)
    guarded = next(b for b in broken_projects(tmp_path / "broken") if b.guarded)
    with as_nobody():
        assert plan_command(guarded.path, tmp_path / "plan.json") == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_two_where_the_held_plan_cannot_be_read(good, tmp_path, capsys):
    assert plan_command(good, tmp_path / "plan.json", "--hold", str(tmp_path / "none.json")) == 2
    assert "none.json" in capsys.readouterr().err
    assert not (tmp_path / "plan.json").exists()


def test_two_where_the_plan_cannot_be_written(good, tmp_path, capsys):
    assert plan_command(good, tmp_path / "no" / "such" / "plan.json", "--seconds", "60") == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_streamed_lines_parse(good, tmp_path):
    out = tmp_path / "plan.json"
    with start(good, out) as child:
        said, complaint = child.stdout.read(), child.stderr.read()
    assert (child.returncode, complaint) == (0, "")
    lines = [json.loads(line) for line in said.splitlines()]
    assert [line["event"] for line in lines] == ["better"] * (len(lines) - 1) + ["done"]
    assert len(lines) > 1
    assert lines[-1]["plan"] == json.loads(out.read_text())
    for line in lines:
        assert line["passes"] == line["plan"]["passes"]
        assert line["because"]
        assert_good(read_project(good), parse_plan(json.dumps(line["plan"]).encode(), "line"))


def headless(project, out):
    return [sys.executable, "-m", "layout", "plan", str(project), "--out", str(out)]


def busy(tmp_path):
    """A project that never is proven: its pieces ask for more paper than there is."""
    tree = good_tree()
    tree.update(kits=40)
    path = tmp_path / "busy.json"
    path.write_text(json.dumps(tree))
    return path


def start(project, out):
    return subprocess.Popen(
        [*headless(project, out), "--seconds", "600", "--stream", "--until-input-ends"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=shared.ROOT,
    )


def interrupt(child):
    child.send_signal(signal.SIGINT)


def close_input(child):
    child.stdin.close()
    child.stdin = None  # so that `communicate` does not write to it


@pytest.mark.skipif(os.name == "nt", reason="no SIGINT for a child there")
@pytest.mark.parametrize("way", [interrupt, close_input])
def test_stop_keeps_the_best(way, tmp_path):
    project, out = busy(tmp_path), tmp_path / "plan.json"
    with start(project, out) as child:
        assert json.loads(child.stdout.readline())["event"] == "better"
        way(child)
        rest, complaint = child.communicate(timeout=60)
    assert complaint == ""
    assert child.returncode == 3
    assert json.loads(rest.splitlines()[-1])["event"] == "done"
    assert_good(read_project(project), read_plan(out))


def test_an_empty_input_stops_nothing_that_is_not_asked_to(good, tmp_path):
    out = tmp_path / "plan.json"
    made = subprocess.run(
        [*headless(good, out), "--stream"], stdin=subprocess.DEVNULL, cwd=shared.ROOT, capture_output=True, check=False
    )
    assert (made.returncode, made.stderr) == (0, b"")
    assert read_plan(out).unplaced == ()


def test_says_bound_and_reasons_in_words():
    project = parse_project(good_bytes(), "good.json")
    plan = command.make_plan(project, Limits(0.05, attempts=0))
    said = command.in_words(project, plan)
    assert plan.because in said
    assert all(u.reason in said for u in plan.unplaced)


def test_a_teller_says_the_whole_plan():
    project = parse_project(good_bytes(), "good.json")
    plan = command.make_plan(project, Limits(60, attempts=1))
    line = json.loads(command.Teller(project, time.monotonic()).line("better", plan))
    assert line["plan"] == json.loads(plan_bytes(plan))
    assert line["missing"] == sum(u.count for u in plan.unplaced)
