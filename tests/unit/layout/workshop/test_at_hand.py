"""A project against what the drawer holds: sheets by paper, dies by number, what it never had left alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.errors import WorkshopError
from layout.model.project import Project, Scrap, Wanted
from layout.workshop import look_into_workshop, open_workshop
from layout.workshop.at_hand import AtHand
from tests.support.simple_plans import simple_plan, simple_project


def given(folder: Path, project: Project) -> Project:
    with look_into_workshop(folder) as shop:
        return AtHand(shop).given_to(project)


def test_sheets_cut_since_are_gone_and_sheets_put_in_since_are_there(tmp_path: Path) -> None:
    wanted = (Wanted("w-leaf", "leaf", paper="moss"), Wanted("w-star", "star", paper="moss"))
    with open_workshop(tmp_path) as shop:
        project = shop.take_over(simple_project(wanted=wanted))
        shop.mark_done(replace(project, name="other"), simple_plan(punched=()), "A", 0)
        shop.put(Scrap("found", "moss", Outline.rectangle(50, 60), 4))
        shop.put(Scrap("other paper", "gold", Outline.rectangle(50, 60), 4))
    sheets = given(tmp_path, project).scraps
    # Of three moss sheets one was cut; its rest and the four found are moss, too. Cream is not asked for.
    assert sorted((s.paper, s.count, round(s.outline.area)) for s in sheets) == [
        ("moss", 1, 8700),
        ("moss", 2, 10000),
        ("moss", 4, 3000),
    ]


def test_where_any_paper_will_do_every_sheet_counts(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        shop.put(Scrap("found", "gold", Outline.rectangle(50, 60), 4))
    own = given(tmp_path, simple_project())
    assert [(s.id, s.count) for s in own.scraps[:2]] == [("s", 3), ("t", 1)]  # never in the drawer: the project's own
    assert [(s.paper, s.count) for s in own.scraps[2:]] == [("gold", 4)]
    assert "gold" in {p.id for p in own.papers}


def test_a_die_taken_out_of_the_workshop_is_not_at_hand(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        project = shop.take_over(simple_project())
        (leaf,) = [t for t in shop.things("die") if t.name == "fern leaf"]
        shop.remove(leaf.id)
    assert {d.id: d.copies for d in given(tmp_path, project).dies} == {"leaf": 0, "star": 1, "frame": 1}


def test_a_look_changes_nothing_and_makes_nothing(tmp_path: Path) -> None:
    with look_into_workshop(tmp_path / "none") as shop:
        assert shop.things() == []
        with pytest.raises(WorkshopError, match="can only be read"):
            shop.put(simple_project().dies[0])
    assert not (tmp_path / "none").exists()
    with open_workshop(tmp_path) as shop:
        marked = shop.mark_done(shop.take_over(simple_project()), simple_plan(), "A", 0)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    behind = replace(marked.project, done=replace(marked.project.done, runs=()), scraps=simple_project().scraps)
    with look_into_workshop(tmp_path) as shop:
        assert len(shop.brought_up(behind).done.runs) == 1
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before
