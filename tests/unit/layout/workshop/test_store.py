"""The drawer: things go in, are found, come out as they went in; projects borrow copies; a friend's file is data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from layout.formats.project_file import read_project
from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.errors import FileError, WorkshopError
from layout.model.plan import Plan
from layout.model.project import Machine, Paper, Project, Scrap
from layout.workshop import Workshop, default_folder, open_workshop
from tests.support.simple_plans import simple_plan, simple_project, square

DEMO = Path(__file__).resolve().parents[4] / "resources" / "demo"


@pytest.fixture
def shop(tmp_path: Path):
    with open_workshop(tmp_path) as made:
        yield made


def test_every_kind_of_thing_comes_out_as_it_went_in(shop: Workshop) -> None:
    project = read_project(DEMO / "night-garden.json")
    spare = Spare("", "leaf", square(20), "moss", 3)
    machine = replace(project.machine, extra={"recipes": [{"paper": "moss", "plates": ["base", "shim"]}]})
    models = [*project.dies, *project.punches, *project.panels, *project.papers, *project.scraps, machine, spare]
    ids = [shop.put(m).id for m in models]
    assert [shop.load(i) for i in ids] == models


def test_things_are_found_by_words_tags_and_sets(shop: Workshop) -> None:
    leaf, star, frame = (shop.put(d, note="tin box" if d.id == "star" else "") for d in simple_project().dies)
    shop.tag(leaf.id, ["fern", "small"])
    shop.put_set("evening class kit", [leaf.id, frame.id])
    assert [t.id for t in shop.things("die", "LEAF fern")] == [leaf.id]
    assert [t.id for t in shop.things(search="tin")] == [star.id]
    assert [t.tags for t in shop.things(tag="small")] == [("fern", "small")]
    assert [t.id for t in shop.things(in_set="evening class kit")] == [leaf.id, frame.id]
    assert shop.things(search="100%") == []
    assert shop.things("punch") == []
    assert shop.tags() == ["fern", "small"]
    shop.remove(leaf.id)
    assert [k.things for k in shop.sets()] == [(frame.id,)]


def test_a_thing_tells_its_size_and_has_a_picture_or_an_outline(shop: Workshop) -> None:
    die = shop.put(simple_project().dies[0])
    assert die.size == (20.0, 20.0)
    assert shop.picture(die.id) is None
    assert shop.outline(die.id) == square(20)
    png = b"\x89PNG\r\n\x1a\n" + bytes(range(256))
    shop.set_picture(die.id, png)
    assert shop.picture(die.id) == png
    with pytest.raises(WorkshopError, match="no PNG"):
        shop.set_picture(die.id, b"GIF89a")


def test_a_change_of_the_drawer_can_be_walked_back(shop: Workshop) -> None:
    die = simple_project().dies[0]
    thing = shop.put(die)
    shop.put(replace(die, name="other"), name=thing.id)
    shop.remove(thing.id)
    removed, changed, put = (e.number for e in shop.history())
    with pytest.raises(WorkshopError, match="walk that change back first"):
        shop.walk_back(put)
    shop.walk_back(removed)
    assert shop.load(thing.id).name == "other"
    shop.walk_back(changed)
    assert shop.load(thing.id) == die


def test_a_project_borrows_copies_and_stays_whole_in_itself(shop: Workshop) -> None:
    taken = shop.take_over(simple_project())
    ids = [t.id for t in shop.things("die")] + [t.id for t in shop.things("scrap")]
    lent = shop.into_project(Project(machine=Machine("m")), ids)
    assert {d.name for d in lent.dies} == {d.name for d in simple_project().dies}
    assert {p.name for p in lent.papers} == {"moss", "cream"}
    assert sorted(s.count for s in lent.scraps) == [1, 3]
    assert shop.into_project(lent, ids) == lent  # nothing is lent twice
    again = shop.take_over(taken)
    assert again == taken
    assert len(shop.things()) == 3 + 1 + 2 + 2 + 1


def test_marking_takes_sheets_out_of_the_drawer_and_puts_what_is_left_in(shop: Workshop, tmp_path: Path) -> None:
    project = shop.take_over(simple_project(spares={"w-leaf": 1}))
    marked = shop.mark_done(project, simple_plan(), "A", 0, tmp_path / "p.json")
    sheets = {t.name: t.count for t in shop.things("scrap")}
    assert sheets == {"s": 2, "s left": 1, "t": 1}
    assert [(t.name, t.count) for t in shop.things("spare")] == [("fern leaf", 1)]
    back = shop.mark_undone(marked.project, marked.plan, marked.record.id, tmp_path / "p.json")
    assert {t.name: t.count for t in shop.things("scrap")} == {"s": 3, "t": 1}
    assert shop.things("spare") == []
    assert back.project.scraps == project.scraps
    assert [(e.what, e.undone) for e in shop.history(2)] == [("undone", False), ("done", True)]


def test_undo_and_redo_of_a_mark_are_followed(shop: Workshop) -> None:
    project = shop.take_over(simple_project())
    marked = shop.mark_done(project, simple_plan(), "A", 0)
    shop.follow(marked.project, project)
    assert {t.name: t.count for t in shop.things("scrap")} == {"s": 3, "t": 1}
    shop.follow(project, marked.project)
    assert {t.name: t.count for t in shop.things("scrap")} == {"s": 2, "s left": 1, "t": 1}


def test_a_project_left_behind_by_a_crash_is_brought_up_when_it_is_opened(shop: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "p.json"
    project = shop.take_over(simple_project())
    shop.know(project, path)
    marked = shop.mark_done(project, simple_plan(), "A", 0, path)
    with pytest.raises(WorkshopError, match="marked in another window meanwhile"):
        shop.mark_done(project, simple_plan(), "A", 0, path)
    agreed = shop.agree(project, simple_plan(), path)
    assert (agreed.project, agreed.plan) == (marked.project, marked.plan)
    assert len(agreed.notices) == 1
    shop.mark_undone(marked.project, marked.plan, marked.record.id, path)
    back = shop.agree(marked.project, marked.plan, path)
    assert back.project.scraps == project.scraps


def test_a_project_from_elsewhere_teaches_the_workshop_its_marks(tmp_path: Path) -> None:
    with open_workshop(tmp_path / "a") as shop:
        marked = shop.mark_done(simple_project(), simple_plan(), "A", 0)
    with open_workshop(tmp_path / "b") as other:
        other.agree(marked.project, marked.plan, tmp_path / "p.json")
        assert [e.what for e in other.history()] == ["done"]
        assert other.agree(marked.project, marked.plan, tmp_path / "p.json").notices == ()


def test_no_scrap_is_spent_in_two_projects(shop: Workshop) -> None:
    scrap = Scrap("s", "moss", Outline.rectangle(100, 100))
    first = shop.take_over(simple_project(name="one", scraps=(scrap,)))
    second = replace(first, name="two")
    shop.mark_done(first, simple_plan(punched=()), "A", 0)
    with pytest.raises(WorkshopError, match="scrap s was cut elsewhere meanwhile: none of its sheets is left"):
        shop.mark_done(second, simple_plan(punched=()), "A", 0)
    assert [t.name for t in shop.things("scrap")] == ["s left"]


def test_spares_are_taken_from_the_tin_only_while_there_are_some(shop: Workshop) -> None:
    tin = shop.put(Spare("", "fern leaf", square(20), "moss", 3))
    project = shop.from_tin(simple_project(), tin.id, "w-leaf", 2)
    assert project.spares == {"w-leaf": 2}
    with pytest.raises(WorkshopError, match="the tin holds 1 of these"):
        shop.from_tin(project, tin.id, "w-leaf", 2)


def test_a_drawer_is_shared_as_one_file(tmp_path: Path) -> None:
    path = tmp_path / "drawer.json"
    with open_workshop(tmp_path / "a") as mine:
        mine.take_over(read_project(DEMO / "night-garden.json"))
        mine.tag(mine.things("die")[0].id, ["night"])
        mine.export_drawer(path)
        what = sorted((t.kind, t.name, t.tags, mine.load(t.id).id if t.kind == "die" else "") for t in mine.things())
    with open_workshop(tmp_path / "b") as theirs:
        theirs.import_drawer(path)
        got = sorted((t.kind, t.name, t.tags, theirs.load(t.id).id if t.kind == "die" else "") for t in theirs.things())
    assert got == what


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda t: t["things"][0].update(kind="program"), '"program" is no kind of thing'),
        (lambda t: t["things"][0].update(note="x" * 10_000), "too long"),
        (lambda t: t["things"][0].update(tags=["x"] * 1000), "too many"),
        (lambda t: t["things"][0]["thing"].pop("cut"), "things[0].thing.cut: this field is missing"),
        (lambda t: t["things"][0]["thing"].update(copies=10**12), "too large"),
        (lambda t: t.update(version=99), "newer Plateful"),
    ],
)
def test_a_bad_file_of_a_friend_is_refused_whole(shop: Workshop, tmp_path: Path, change, says: str) -> None:
    path = tmp_path / "drawer.json"
    with open_workshop(tmp_path / "a") as mine:
        mine.put(simple_project().dies[0])
        mine.export_drawer(path)
    tree = json.loads(path.read_text())
    change(tree)
    path.write_text(json.dumps(tree))
    with pytest.raises(FileError) as told:
        shop.import_drawer(path)
    assert says in str(told.value)
    assert shop.things() == []


def test_the_folder_is_the_platforms_unless_moved(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PLATEFUL_HOME", str(tmp_path))
    assert default_folder() == tmp_path
    monkeypatch.delenv("PLATEFUL_HOME")
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))  # XDG base directory specification
    assert default_folder() == tmp_path / "data" / "plateful"


def test_pieces_taken_from_the_tin_are_put_back_where_the_project_takes_it_back(tmp_path: Path) -> None:
    from layout.workshop.tin import fitting

    with open_workshop(tmp_path) as shop:
        tin = shop.put(Spare("", "fern leaf", square(20), "moss", 5))
        before = simple_project(papers=(Paper("moss", "moss"),))
        spare = shop.load(tin.id)
        assert isinstance(spare, Spare)
        assert [w.id for w in fitting(before, spare)] == ["w-leaf"]
        after = shop.from_tin(before, tin.id, "w-leaf", 1)
        assert (after.due(after.wanted[0]), shop.thing(tin.id).count) == (0, 4)
        assert fitting(after, spare) == ()
        shop.follow(after, before)  # as undo does
        assert shop.thing(tin.id).count == 5
        shop.follow(before, after)
        lost = replace(before, done=after.done)  # as a crash before saving leaves the file
        agreed = shop.agree(lost, Plan())
        assert agreed.project.spares == after.spares
        assert shop.agree(agreed.project, Plan()).notices == ()
        assert shop.thing(tin.id).count == 4


def test_alike_pieces_over_lie_in_the_tin_together_however_they_were_cut(tmp_path: Path) -> None:
    from tests.support.simple_plans import simple_plan, with_run

    plan = simple_plan()
    run = plan.layouts[0].runs[0]
    plan = with_run(plan, scraps=(replace(run.scraps[0], copies=(0, 1, 2)),))
    with open_workshop(tmp_path) as shop:
        shop.mark_done(simple_project(), plan, "A", 0)
        leaves, stars = shop.things("spare")
        assert [(leaves.name, leaves.count), (stars.name, stars.count)] == [("fern leaf", 2), ("star", 2)]
        assert shop.outline(leaves.id) == simple_project().dies[0].cut


def test_sets_and_tags_are_renamed_and_taken_apart(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        one, two = (shop.put(d, tags=["sprng"]) for d in simple_project().dies[:2])
        shop.put_set("class", [one.id])
        shop.put_set("evening", [two.id])
        shop.rename_set("class", "evening")
        assert [(k.name, set(k.things)) for k in shop.sets()] == [("evening", {one.id, two.id})]
        shop.remove_set("evening")
        shop.rename_tag("sprng", "spring")
        assert (shop.sets(), shop.tags(), len(shop.things())) == ([], ["spring"], 2)
        shop.rename_tag("spring", "")
        assert shop.tags() == []


def test_a_drawer_goes_out_with_its_sets_and_pictures(tmp_path: Path) -> None:
    png = b"\x89PNG\r\n\x1a\n picture"
    with open_workshop(tmp_path / "mine") as mine, open_workshop(tmp_path / "friend") as friend:
        die = mine.put(simple_project().dies[0])
        mine.set_picture(die.id, png)
        mine.put_set("evening", [die.id])
        mine.export_drawer(tmp_path / "all.json")
        (there,) = friend.import_drawer(tmp_path / "all.json")
        assert friend.picture(there.id) == png
        assert friend.sets()[0].things == (there.id,)
        friend.set_picture(there.id, None)
        assert friend.picture(there.id) is None


def test_what_the_workshop_heard_of_before_is_not_done_twice(shop: Workshop) -> None:
    """A window killed after a tick brings it back from its own notes: the sheet is spent already."""
    project = shop.take_over(simple_project())
    marked = shop.mark_done(project, simple_plan(), "A", 0)
    for _ in range(2):
        shop.follow(project, marked.project)
        assert {t.name: t.count for t in shop.things("scrap")} == {"s": 2, "s left": 1, "t": 1}
    for _ in range(2):
        shop.follow(marked.project, project)
        assert {t.name: t.count for t in shop.things("scrap")} == {"s": 3, "t": 1}
