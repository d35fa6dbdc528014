"""Opening and saving from the window's side: all or nothing, and the open project never harmed."""

import json

import pytest

from app.document.document import Document
from app.document.files import open_into, plan_path, read_state, save
from app.document.state import State
from layout.formats.plan_file import write_plan
from layout.formats.project_file import project_bytes, write_project
from layout.model.errors import FileError
from layout.model.plan import Plan
from tests.support.broken_files import broken_projects
from tests.support.desk import grid

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def document():
    made = Document()
    made.start_with(State(*grid(2, 2, corners=12)), None)
    return made


def test_a_project_comes_back_with_its_plan(document, tmp_path):
    path = tmp_path / "flowers.json"
    save(document, path)
    assert document.saved
    assert document.path == path
    again = Document()
    open_into(again, path)
    assert project_bytes(again.project) == project_bytes(document.project)
    assert again.plan == document.plan


def test_a_plan_file_opens_the_project_beside_it(document, tmp_path):
    save(document, tmp_path / "flowers.json")
    again = Document()
    open_into(again, tmp_path / "flowers.plan.json")
    assert again.path == tmp_path / "flowers.json"
    assert again.plan == document.plan


def test_a_plan_file_alone_becomes_one_step_of_the_open_project(document, tmp_path):
    path = tmp_path / "answer.json"
    write_plan(Plan(because="by hand"), path)
    open_into(document, path)
    assert document.plan.because == "by hand"
    assert document.undo.count() == 1


def test_a_plan_of_another_project_is_refused_in_words(document, tmp_path):
    path = tmp_path / "answer.plan.json"
    write_plan(grid(3, 3, corners=12)[1], path)
    before = document.state
    with pytest.raises(FileError, match="no die called"):
        open_into(document, path)
    assert document.state is before


def test_a_plan_beside_a_project_that_does_not_fit_is_left_aside(tmp_path):
    project, _ = grid(2, 2, corners=12)
    write_project(project, tmp_path / "a.json")
    write_plan(grid(3, 3, corners=12)[1], tmp_path / "a.plan.json")
    assert read_state(tmp_path / "a.json").plan == Plan()


def test_saving_where_nobody_may_write_leaves_the_document_unsaved(document, tmp_path):
    document.change_plan("Plan", Plan())
    with pytest.raises(FileError, match="nowhere"):
        save(document, tmp_path / "nowhere" / "flowers.json")
    assert not document.saved


def test_saving_never_leaves_a_plan_of_before_beside_a_project_without_one(document, tmp_path):
    path = tmp_path / "flowers.json"
    save(document, path)
    document.change_plan("Clearing", Plan())
    save(document, path)
    assert json.loads(plan_path(path).read_bytes())["layouts"] == []
    assert read_state(path).plan == Plan()


def test_every_broken_file_gives_its_sentence_and_leaves_the_open_project(planned, tmp_path):
    before = planned.document.state
    for broken in broken_projects(tmp_path / "broken"):
        if broken.guarded:
            continue  # needs a user without rights; the reader's own tests have that
        planned.commands.open_path(str(broken.path))
        assert planned.document.state is before, broken.name
        # What says it is a plan is read as one here, and gets the plan reader's sentence.
        assert broken.name == "other format" or broken.says in planned.bar.text, broken.name
        assert "\n" not in planned.bar.text, broken.name
