"""Advice does what it says: applied, the peak is what was promised, and no rule is broken that was kept before."""

from __future__ import annotations

import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Run
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.rules import check
from layout.rules.easing import advise, follow, turn_about
from layout.rules.rollers import run_profile


def bench(count: int, gap: float, bed: tuple[float, float] = (150.0, 200.0)) -> tuple[Project, Plan]:
    """Long labels whose flat edges all lie at one height: the worst that can come under the rollers."""
    cut = Outline.rectangle(30.0, 20.0, x=-15.0, y=-10.0)
    body = Outline.rectangle(34.0, 24.0, x=-17.0, y=-12.0)
    dies = tuple(Die(f"label-{n}", f"label {n}", body, cut) for n in range(count))
    sheet = Scrap("sheet", "card", Outline.rectangle(bed[0], bed[1]))
    wanted = tuple(Wanted(f"w{n}", f"label-{n}") for n in range(count))
    project = Project(
        machine=Machine("", *bed, bed_margin=1.0), dies=dies, papers=(Paper("card", "card"),), scraps=(sheet,),
        wanted=wanted,
    )  # fmt: skip
    placed = tuple(PlacedDie(f"label-{n}", Pose(25.0 + n * (34.0 + gap), bed[1] / 2)) for n in range(count))
    cuts = tuple(Cut(n, 0, f"w{n}") for n in range(count))
    plan = Plan((Layout("A", placed, (Run((LaidScrap("sheet", Pose()),), cuts),)),), lower_bound=1)
    return project, plan


def applied(plan: Plan, die: int, pose: Pose) -> Plan:
    layout = plan.layouts[0]
    dies = tuple(replace(p, pose=pose) if n == die else p for n, p in enumerate(layout.dies))
    return replace(plan, layouts=(replace(layout, dies=dies),))


def peak(project: Project, plan: Plan) -> float:
    dies = {die.id: die for die in project.dies}
    layout = plan.layouts[0]
    return max(run_profile(dies, layout, run).peak().length for run in layout.runs)


@pytest.mark.parametrize(("count", "gap"), [(1, 5.0), (2, 5.0), (3, 5.0), (3, 1.2)])
def test_the_advice_keeps_its_word(count: int, gap: float) -> None:
    project, plan = bench(count, gap)
    assert check(project, plan) == []
    advice = advise(project, plan, 0)
    assert advice is not None
    assert advice.before == pytest.approx(peak(project, plan))
    after = follow(plan, 0, advice)
    assert peak(project, after) == pytest.approx(advice.after)
    assert advice.after < advice.before
    assert check(project, after) == []
    assert f"from {advice.before:.0f} to {advice.after:.0f} mm" in advice.what


def test_followed_again_and_again_it_comes_to_an_end() -> None:
    project, plan = bench(3, 5.0)
    peaks = [peak(project, plan)]
    while (advice := advise(project, plan, 0)) is not None and len(peaks) < 20:
        plan = follow(plan, 0, advice)
        peaks.append(peak(project, plan))
    assert peaks == sorted(peaks, reverse=True)
    assert peaks[-1] < peaks[0] / 2
    assert len(peaks) < 20


def test_no_advice_where_nothing_may_move() -> None:
    project, plan = bench(1, 5.0, bed=(36.5, 26.5))
    tight = applied(plan, 0, Pose(18.25, 13.25))
    assert check(project, tight) == []
    assert advise(project, tight, 0) is None


def test_a_layout_with_no_dies_needs_no_advice() -> None:
    project, _ = bench(1, 5.0)
    assert advise(project, Plan((Layout("A", (), ()),)), 0) is None


def test_a_held_die_stays() -> None:
    project, plan = bench(1, 5.0)
    layout = plan.layouts[0]
    held = replace(plan, layouts=(replace(layout, dies=(replace(layout.dies[0], extra={"held": True}),)),))
    assert advise(project, plan, 0) is not None
    assert advise(project, held, 0) is None


def test_a_die_may_take_its_scrap_along() -> None:
    """A label that fills its scrap cannot turn alone; with the scrap it can."""
    project, plan = bench(1, 5.0)
    small = Scrap("sheet", "card", Outline.rectangle(34.1, 24.1))
    project = replace(project, scraps=(small,))
    run = Run((LaidScrap("sheet", Pose(25.0 - 17.05, 100.0 - 12.05)),), plan.layouts[0].runs[0].cuts)
    plan = replace(plan, layouts=(replace(plan.layouts[0], runs=(run,)),))
    assert check(project, plan) == []
    advice = advise(project, plan, 0)
    assert advice is not None
    assert list(advice.scraps) == [(0, 0)]
    assert "with its scrap" in advice.what
    after = follow(plan, 0, advice)
    assert check(project, after) == []
    assert peak(project, after) == pytest.approx(advice.after)


def test_turning_about_a_point_keeps_it_in_place() -> None:
    turn = turn_about((8.0, 3.0), 15.0)
    assert turn.point((8.0, 3.0)) == pytest.approx((8.0, 3.0))
    assert turn.after(Pose(8.0, 3.0, 20.0)).turn == pytest.approx(35.0)
