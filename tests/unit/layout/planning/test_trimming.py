"""Cuts as a trimmer makes them: stops from a straight edge, as few different ones as possible."""

from __future__ import annotations

import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.plan import StraightCut
from layout.model.project import Panel, Paper, Project, Scrap, Wanted
from layout.planning.cutting_down import cut_panels
from layout.planning.stock import whole_stock
from layout.planning.trimming import settings, trims

SHEET = Outline.rectangle(210, 297)


def test_the_stop_is_the_width_of_what_lies_between_it_and_the_blade() -> None:
    (step,) = trims(SHEET, [StraightCut(0, ((60, 0), (60, 297)))])
    assert (step.part, step.left, step.right, step.against) == (0, 0, 1, 0)
    assert (step.stop, step.length) == (pytest.approx(60), pytest.approx(297))


def test_equal_stops_are_set_once() -> None:
    cuts = [
        StraightCut(0, ((60, 0), (60, 297))),
        StraightCut(1, ((120, 0), (120, 297))),
        StraightCut(0, ((60, 60), (0, 60))),
    ]
    steps = trims(SHEET, cuts)
    assert [s.stop for s in steps] == pytest.approx([60, 60, 60])
    assert settings(steps) == (pytest.approx(60),)


def test_turned_sheets_have_the_same_stops() -> None:
    turn = Pose(30, -20, 33)
    line = (turn.point((60, 0)), turn.point((60, 297)))
    assert [s.stop for s in trims(turn.outline(SHEET), [StraightCut(0, line)])] == pytest.approx([60])


def test_without_a_parallel_edge_the_line_is_cut_by_eye() -> None:
    triangle = Outline.of([(0, 0), (100, 0), (50, 90)])
    (step,) = trims(triangle, [StraightCut(0, ((50, 0), (50, 90)))])
    assert step.stop is None


def test_the_panels_of_a_box_need_two_settings() -> None:
    asked = Project(
        panels=(Panel("side", "side", Outline.rectangle(60, 40)),),
        papers=(Paper("cream", "cream"),),
        scraps=(Scrap("a", "cream", Outline.rectangle(120, 80)),),
        wanted=(Wanted("sides", "side", 4, "cream"),),
    )
    cut = cut_panels(asked, whole_stock(asked))
    steps = trims(asked.scraps[0].outline, cut.cut_downs[0].cuts)
    assert settings(steps) == (pytest.approx(60), pytest.approx(40))
