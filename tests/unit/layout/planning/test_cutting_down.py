"""Panels out of sheets: straight cuts from edge to edge, the print heeded, one good piece left."""

from __future__ import annotations

from itertools import pairwise

import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.parting import cut_apart
from layout.model.plan import Plan, StraightCut, Unplaced
from layout.model.project import Die, Panel, Paper, Project, Scrap, Wanted
from layout.planning.cutting_down import Panelled, cut_panels
from layout.planning.stock import whole_stock
from tests.support.checked import assert_good
from tests.support.random_projects import random_project

SIDE = Panel("side", "box side", Outline.rectangle(60, 40))


def asked(*scraps: Scrap, wanted: tuple[Wanted, ...] = (Wanted("sides", "side", 4, "cream"),)) -> Project:
    return Project(panels=(SIDE,), papers=(Paper("cream", "cream"),), scraps=scraps, wanted=wanted)


def sheet(width: float, length: float, **more: object) -> Scrap:
    return Scrap(more.pop("id", "a"), "cream", Outline.rectangle(width, length), **more)


def plan_of(project: Project, cut: Panelled) -> Plan:
    """Put the panels into a plan that names everything else as unplaced."""
    panels = {p.id for p in project.panels}
    rest = {w.id: cut.missing.get(w.id, 0) if w.shape in panels else project.due(w) for w in project.wanted}
    told = tuple(Unplaced(w, n, "not asked for here") for w, n in rest.items() if n)
    return Plan(panels=cut.panels, cut_downs=cut.cut_downs, unplaced=told)


def cut_and_check(project: Project) -> Panelled:
    cut = cut_panels(project, whole_stock(project))
    assert_good(project, plan_of(project, cut))
    return cut


def test_four_panels_without_waste() -> None:
    cut = cut_and_check(asked(sheet(120, 80)))
    assert (len(cut.panels), cut.missing, cut.stock.piles) == (4, {}, ())
    assert len(cut.cut_downs[0].cuts) == 3


def test_what_remains_is_one_good_piece() -> None:
    cut = cut_and_check(asked(sheet(210, 297)))
    assert sum(p.outline.area for p in cut.stock.piles) == pytest.approx(210 * 297 - 4 * 2400)
    assert max(p.outline.area for p in cut.stock.piles) > 0.9 * (210 * 297 - 4 * 2400)


def test_a_sheet_that_is_the_panel_is_not_cut() -> None:
    cut = cut_and_check(asked(sheet(40, 60), wanted=(Wanted("sides", "side", 1),)))
    assert [p.part for p in cut.panels] == [None]
    assert cut.cut_downs == ()


def test_the_print_stays_upright() -> None:
    upright = (Wanted("sides", "side", 2, "cream", turn="upright"),)
    assert len(cut_and_check(asked(sheet(130, 45), wanted=upright)).panels) == 2
    assert len(cut_and_check(asked(sheet(45, 130), wanted=upright)).panels) == 0
    assert len(cut_and_check(asked(sheet(45, 130, up=0.0), wanted=upright)).panels) == 2
    turned = cut_and_check(asked(sheet(160, 160, up=35.0), wanted=upright))
    assert [p.pose.turn for p in turned.panels] == pytest.approx([305.0, 305.0])


def test_turned_and_odd_sheets() -> None:
    turned = Scrap("a", "cream", Pose(5, 6, 27).outline(Outline.rectangle(121, 81)))
    assert len(cut_and_check(asked(turned)).panels) == 4
    triangle = Scrap("a", "cream", Outline.of([(0, 0), (200, 0), (0, 200)]))
    assert len(cut_and_check(asked(triangle)).panels) == 4


def test_stains_are_left_out() -> None:
    stained = sheet(130, 100, spoiled=(Outline.rectangle(5, 5, x=62, y=10),))
    assert len(cut_and_check(asked(stained)).panels) >= 2


def test_alike_sheets_are_cut_alike() -> None:
    cut = cut_and_check(asked(sheet(130, 45, count=3), wanted=(Wanted("sides", "side", 5, "cream"),)))
    assert len(cut.panels) == 5
    assert [c.copy for c in cut.cut_downs] == [0, 1, 2]
    assert cut.cut_downs[0].cuts == cut.cut_downs[1].cuts


def test_small_sheets_first_unless_large_are_asked_for() -> None:
    project = asked(sheet(300, 300, id="whole"), sheet(70, 50, id="bit"), wanted=(Wanted("sides", "side", 1),))
    assert cut_and_check(project).panels[0].scrap == "bit"
    assert cut_panels(project, whole_stock(project), large_first=True).panels[0].scrap == "whole"


def test_120_random_projects_break_no_rule() -> None:
    made = 0
    for seed in range(120):
        made += len(cut_and_check(random_project(seed, panels=True)).panels)
    assert made > 200


def test_sheets_that_the_passes_need_are_left_to_them() -> None:
    # The demo's mats were cut out of the very offcuts that its wings need, though a large sheet lay beside them.
    square = Outline.rectangle(30, 30)
    die = Die("wing", "wing", Outline.rectangle(34, 34, x=-2, y=-2), square)
    scraps = (sheet(300, 300, id="whole"), sheet(70, 50, id="bit"))
    project = replace(
        asked(*scraps), dies=(die,), wanted=(Wanted("sides", "side", 1, "cream"), Wanted("w", "wing", 1, "cream"))
    )
    assert cut_and_check(project).panels[0].scrap == "whole"


def test_equal_settings_of_the_stop_come_one_after_another() -> None:
    # Two rows of four: a row, then the two halves of both, then the quarters of all four.
    sheet, task = Outline.rectangle(240, 200), Panel("mat", "mat", Outline.rectangle(60, 100))
    made = cut_panels(
        Project(
            papers=(Paper("moss", "moss"),),
            scraps=(Scrap("big", "moss", sheet),),
            panels=(task,),
            wanted=(Wanted("mats", "mat", 8, "moss", "upright"),),
        ),
        whole_stock(
            Project(papers=(Paper("moss", "moss"),), scraps=(Scrap("big", "moss", sheet),)),
        ),
    )
    assert not made.missing
    cuts = made.cut_downs[0].cuts
    stops = [_stop(sheet, cuts, k) for k in range(len(cuts))]
    assert len(cuts) == 7
    changes = sum(a != b for a, b in pairwise(stops))
    assert changes == len(set(stops)) - 1  # no setting is made twice


def _stop(sheet: Outline, cuts: tuple[StraightCut, ...], number: int) -> tuple[bool, float]:
    (ax, ay), (bx, _) = cuts[number].line
    x0, y0, _, _ = cut_apart(sheet.polygon, cuts[:number])[cuts[number].part].bounds
    return (True, round(ax - x0, 3)) if ax == bx else (False, round(ay - y0, 3))
