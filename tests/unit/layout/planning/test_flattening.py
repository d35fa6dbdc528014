"""Flat profiles: lower peaks, nothing else changed, every rule kept, also by the independent checker."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from layout.__main__ import main
from layout.formats.plan_file import parse_plan
from layout.formats.project_file import parse_project, project_bytes
from layout.geometry.value import replace
from layout.model.flat_profiles import wants_flat, with_flat
from layout.model.plan import Plan
from layout.planning import command
from layout.planning.flattening import flatten, highest_peak
from layout.planning.planner import Limits, make_plan
from layout.rules import check
from tests.support.checked import assert_good
from tests.support.shared import CASES, load, need
from tests.unit.layout.rules.test_easing import bench


def shape_of(plan: Plan) -> tuple:
    """Return all of a plan but where things lie."""
    return plan.passes, [(lay.id, [d.die for d in lay.dies], [r.cuts for r in lay.runs]) for lay in plan.layouts]


def test_the_peak_of_labels_in_a_row_falls_and_nothing_else_changes() -> None:
    project, plan = bench(3, 8.0)
    flat = flatten(project, plan)
    # Two edges of 30 mm a label, all at one height: 3 x 30 at once, and what rises in 2 mm of the upright ones.
    assert highest_peak(project, plan.layouts[0]) == pytest.approx(90.0 + 3 * 2 * 2.0)
    assert highest_peak(project, flat.layouts[0]) <= 50.0
    assert check(project, flat) == []
    assert shape_of(flat) == shape_of(plan)


@pytest.mark.parametrize("name", ["onepass-05-02-11", "scraps-06-2-11"])
def test_the_independent_checker_agrees_with_a_flattened_plan(name: str) -> None:
    path = need(CASES / f"{name}.json")
    raw, known = load(path), load(path.with_name(f"{name}.known.json"))
    project = parse_project(json.dumps(raw).encode(), name)
    plan = parse_plan(json.dumps(known).encode(), name)
    flat = flatten(project, plan, rounds=2)
    assert_good(project, flat)
    before = max(highest_peak(project, layout) for layout in plan.layouts)
    assert max(highest_peak(project, layout) for layout in flat.layouts) <= before + 1e-9


def test_what_is_held_or_broken_or_stopped_stays() -> None:
    project, plan = bench(3, 8.0)
    layout = plan.layouts[0]
    held = replace(
        plan, layouts=(replace(layout, dies=(replace(layout.dies[0], extra={"held": True}), *layout.dies[1:])),)
    )
    assert flatten(project, held) is held
    assert flatten(project, plan, stopped=lambda: True) is plan
    twice = replace(plan, layouts=(replace(layout, dies=(layout.dies[1], layout.dies[1], layout.dies[2])),))
    assert flatten(project, twice) is twice


def test_the_wish_is_the_machines_and_survives_the_file() -> None:
    project, _ = bench(3, 8.0)
    wished = with_flat(project, True)
    assert not wants_flat(project)
    assert wants_flat(wished)
    assert wants_flat(parse_project(project_bytes(wished), "p"))
    assert with_flat(wished, False).machine == project.machine


def test_the_planner_flattens_only_when_asked() -> None:
    project, _ = bench(3, 8.0)
    plain = make_plan(project, Limits(seconds=60.0, attempts=2))
    flat = make_plan(with_flat(project, True), Limits(seconds=60.0, attempts=2))
    assert shape_of(flat) == shape_of(plain)
    assert_good(project, flat)
    assert highest_peak(project, flat.layouts[0]) <= highest_peak(project, plain.layouts[0])


def test_the_command_hands_the_wish_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    project, plan = bench(3, 8.0)
    path, asked = tmp_path / "p.json", []
    path.write_bytes(project_bytes(project))
    monkeypatch.setattr(command, "make_plan", lambda project, *_: asked.append(project) or plan)
    for words in ([], ["--flat"]):
        assert main(["plan", str(path), "--out", str(tmp_path / "plan.json"), *words]) == 0
    assert [wants_flat(project) for project in asked] == [False, True]
