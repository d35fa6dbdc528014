"""The demo: what lies in the repository is what its drawer draws, and it is a sound, makeable project."""

from __future__ import annotations

import json

import pytest

from layout.formats.plan_file import read_plan
from layout.formats.project_file import read_project
from layout.model.project import Project
from layout.rules import check
from tests.support import night_garden
from tests.support.shared import independent_faults

PLAN = night_garden.DEMO.with_name("night-garden.plan.json")


@pytest.fixture(scope="module")
def project() -> Project:
    return read_project(night_garden.DEMO)


def test_the_file_is_what_its_drawer_draws():
    assert night_garden.DEMO.read_text(encoding="utf-8") == night_garden.text()


def test_it_holds_what_the_demo_is_to_show(project):
    assert project.kits == 8
    assert [d.copies for d in project.dies] == [1] * 9
    assert [p.name for p in project.papers] == ["dusk print", "moss", "cream", "silver", "night blue"]
    assert len(project.scraps) == 14
    assert sum(bool(s.images) for s in project.scraps) == 3
    assert sum(bool(s.spoiled) for s in project.scraps) == 1
    assert len(project.punches) == 1
    assert [p.name for p in project.panels] == ["favour box", "mat for the front"]
    assert any(w.turn == "upright" for w in project.wanted)
    assert max(p.layers for p in project.papers) == 2


def test_every_stamped_moth_can_be_framed(project):
    moth = next(d for d in project.dies if d.id == "moth-upper")
    stamped = 0
    for scrap in project.scraps:
        pieces = [image.pose.outline(moth.cut).polygon for image in scrap.images]
        room = scrap.outline.polygon.buffer(-project.clearances.paper_edge)
        assert all(room.covers(p) for p in pieces)
        assert all(p.contains(i.outline.polygon) for p, i in zip(pieces, scrap.images, strict=True) if i.outline)
        web = project.clearances.web
        assert all(a.distance(b) >= web for k, a in enumerate(pieces) for b in pieces[:k])
        stamped += scrap.count * len(pieces)
    assert stamped >= sum(project.due(w) for w in project.wanted if w.image == "moth")


def test_small_dies_fit_in_the_window_frames_opening(project):
    dies = {d.id: d for d in project.dies}
    opening = dies["window"].body.polygon.interiors[0]
    width = max(x for x, _ in opening.coords) - min(x for x, _ in opening.coords)
    assert len(dies["window"].cut.holes) == 1
    x0, _, x1, _ = dies["star"].body.bounds
    assert x1 - x0 + 2 * project.clearances.body_gap <= width


def test_its_plan_is_complete_and_keeps_every_rule(project):
    plan = read_plan(PLAN)
    assert plan.status == "complete"
    assert check(project, plan) == []


def test_the_independent_checker_finds_no_fault_in_its_plan():
    given, made = (json.loads(p.read_text(encoding="utf-8")) for p in (night_garden.DEMO, PLAN))
    assert independent_faults(given, made) == []
