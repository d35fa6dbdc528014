"""Which wanted list fits now, of all projects of a workshop: squares on square sheets, counted by hand."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from layout.formats.plan_file import write_plan
from layout.formats.project_file import read_project, write_project
from layout.geometry.value import replace
from layout.model.project import Project, Wanted
from layout.planning.lists import Lists, Present
from layout.planning.makeable import Makeable, Patience
from layout.workshop import look_into_workshop, open_workshop
from tests.support.simple_plans import simple_plan, simple_project
from tests.unit.layout.planning.test_makeable import squares

ROOT = Path(__file__).resolve().parents[4]
PATIENCE = Patience(seconds=60.0, attempts=12, seed=1, sheet=(100.0, 100.0), beyond=False)


def begin(folder: Path, **kits: int) -> list[Path]:
    """Fill a workshop with three sheets of four squares each, and projects that want so many kits of three squares."""
    paths = []
    with open_workshop(folder) as shop:
        project = shop.take_over(squares(3, 3, 1))
        for name, number in kits.items():
            paths.append(folder / f"{name}.json")
            told = replace(project, name=name, kits=number)
            write_project(told, paths[-1])
            shop.know(told, paths[-1])
    return paths


def answers(folder: Path, present: Present | None = None) -> dict[str, Makeable | str]:
    """Return the answer for each project by its name, or in which state it is."""
    with look_into_workshop(folder) as shop:
        lists = Lists(shop, present)
        listed = list(lists.listed())
        assert [name for name, _ in lists.names] == [x.name for x in listed]
        told: dict[str, Makeable | str] = {x.name: x.state for x in listed}
        told |= {listed[number].name: answer for number, _, answer in lists.answers(PATIENCE)}
    return told


def test_what_fits_what_is_short_and_how_few_sheets_cure_it(tmp_path: Path) -> None:
    begin(tmp_path, few=4, many=6)
    told = answers(tmp_path)
    few, many = told["few"], told["many"]
    assert isinstance(few, Makeable)
    assert isinstance(many, Makeable)
    # Twelve squares: four kits of three, and nobody asked for more of the few.
    assert (few.kits, few.most, few.asked, few.short) == (4, 4, 4, ())
    assert (many.kits, many.asked) == (4, 6)
    assert [(s.wanted.id, s.count, s.needs) for s in many.short] == [("w", 6, (44.0, 44.0))]
    assert [(c.paper, c.sides, c.sheets) for c in many.cures] == [("cream", (100.0, 100.0), 2)]


def test_what_another_project_cut_is_no_longer_at_hand(tmp_path: Path) -> None:
    folder = tmp_path
    wanted = (Wanted("w-leaf", "leaf", paper="moss"), Wanted("w-star", "star", paper="moss"))
    with open_workshop(folder) as shop:
        project = shop.take_over(simple_project(wanted=wanted, punches=()))
        project = replace(project, scraps=tuple(replace(s, count=1) for s in project.scraps if s.id == "s"))
        path = folder / "one.json"
        write_project(replace(project, name="one"), path)
        write_plan(simple_plan(punched=()), folder / "one.plan.json")
        shop.know(replace(project, name="one"), path)
        for k in range(3):
            shop.mark_done(replace(project, name=f"other {k}"), simple_plan(punched=()), "A", 0)
        for thing in shop.things("scrap"):
            if "left" in thing.name:
                shop.remove(thing.id)
    told = answers(folder)["one"]
    assert isinstance(told, Makeable)
    assert (told.kits, {s.wanted.id for s in told.short}) == (0, {"w-leaf", "w-star"})


def test_a_plan_that_stands_answers_without_laying_anything(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        project = replace(shop.take_over(simple_project()), name="planned")
        path = tmp_path / "planned.json"
        write_project(project, path)
        write_plan(simple_plan(), tmp_path / "planned.plan.json")
        shop.know(project, path)
    with look_into_workshop(tmp_path) as shop:
        lists = Lists(shop)
        assert [x.state for x in lists.listed()] == ["open"]
        assert [told.kits for _, _, told in lists.answers(Patience(seconds=0.0, attempts=1, beyond=False))] == [1]


def test_lists_without_a_question_say_so(tmp_path: Path) -> None:
    lost, broken, made, nothing = begin(tmp_path, lost=1, broken=1, made=1, nothing=1)
    lost.unlink()
    broken.write_text("{")
    write_project(replace(read_project(made), spares={"w": 3}), made)
    write_project(replace(read_project(nothing), wanted=()), nothing)
    assert answers(tmp_path) == {"lost": "unreadable", "broken": "unreadable", "made": "made", "nothing": "nothing"}


def test_the_open_project_counts_as_it_is_in_the_window(tmp_path: Path) -> None:
    (path,) = begin(tmp_path, few=6)
    now = replace(read_project(path), kits=4, name="few, renamed")
    told = answers(tmp_path, Present(now, path))
    assert list(told) == ["few, renamed"]
    never_saved = answers(tmp_path, Present(replace(now, done=replace(now.done, project="x")), None))
    assert list(never_saved) == ["few, renamed", "few"]


def test_passes_that_the_file_does_not_know_of_count_as_done(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        wanted = (Wanted("w-leaf", "leaf", paper="moss"), Wanted("w-star", "star", paper="moss"))
        project: Project = shop.take_over(simple_project(wanted=wanted, name="behind"))
        path = tmp_path / "behind.json"
        write_project(project, path)
        shop.mark_done(project, simple_plan(punched=()), "A", 0, path)
    assert answers(tmp_path) == {"behind": "made"}


@pytest.mark.parametrize("stream", [True, False])
def test_the_command_says_it(tmp_path: Path, stream: bool) -> None:
    begin(tmp_path, few=4, many=6)
    command = [sys.executable, "-m", "layout", "lists", "--workshop", str(tmp_path), "--seconds", "20"]
    made = subprocess.Popen(
        [*command, *["--stream", "--until-input-ends"] * stream],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert made.stdout is not None
    said = made.stdout.read()  # its input stays open: the end of it would be 'stop'
    made.communicate()
    assert made.returncode == 3
    if stream:
        events = [json.loads(line) for line in said.splitlines()]
        assert [e["event"] for e in events if e["event"] != "better"] == ["lists", *["listed"] * 2, *["answered"] * 2]
        last = {e["number"]: e for e in events if e["event"] == "answered"}
        assert {events[0]["lists"][n][0]: e["kits"] for n, e in last.items()} == {"few": 4, "many": 4}
        assert last[0]["pieces"] == {"w": ["square", "cream"]}
    else:
        assert "few: four kits" in said
        assert "two projects in the workshop" in said


def test_a_workshop_that_cannot_be_read_costs_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "workshop.db").write_bytes(b"nothing of this is a database" * 50)
    command = [sys.executable, "-m", "layout", "lists", "--workshop", str(tmp_path), "--stream"]
    made = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert made.returncode == 2
    assert len(made.stderr.splitlines()) == 1
    assert "is damaged" in made.stderr
