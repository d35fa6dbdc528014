"""The picture of what lies still: mended or painted between events, it is the one that painting anew gives."""

import pytest
from PySide6.QtCore import QEvent, QPointF, QSize

from app.canvas.draft import Draft
from app.canvas.layers import ALL
from app.canvas.scene import scene_of
from app.canvas.still import PAINTING, Shot, Still
from app.canvas.viewing import Viewing
from app.chores import Chores
from app.look.fonts import font
from app.look.tokens import DARK, LIGHT, SMALL
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from tests.bench.liveness import send
from tests.support.desk import grid

ROUNDING = 3  # of 255: borders cut by a clip are rounded otherwise; nobody can see it

pytestmark = pytest.mark.usefixtures("qapp")


def shot_of(project, plan, out=(frozenset(), frozenset()), **changes):
    scene = scene_of(project, plan, 0, 0)
    view = Viewing(4.0, 40.0, 380.0)
    return replace(Shot(scene, out, view, LIGHT, font(SMALL), ALL, "mm", QSize(520, 400), 1.0), **changes)


def moved(plan, die, x, y):
    layout = plan.layouts[0]
    dies = tuple(replace(d, pose=Pose(d.pose.x + x, d.pose.y + y, 20.0)) if i == die else d
                 for i, d in enumerate(layout.dies))  # fmt: skip
    return replace(plan, layouts=(replace(layout, dies=dies),))


@pytest.fixture
def desk():
    return grid(3, 2, corners=40, sheets=2)


def _furthest(a, b):
    """Return the greatest difference of a colour between two pictures of one size."""
    pairs = zip(bytes(a.constBits()), bytes(b.constBits()), strict=True)
    return max(abs(x - y) for x, y in pairs)


def plainly(shot):
    return Still(lambda: None).shown(shot)[0].toImage()


def test_what_is_mended_looks_as_if_painted_anew(desk):
    project, plan = desk
    still = Still(lambda: None)
    still.chores = Chores()
    still.shown(shot_of(project, plan))
    for shot in (
        shot_of(project, plan, (frozenset({2}), frozenset())),
        shot_of(project, moved(plan, 2, -9.0, 7.0)),
        shot_of(project, moved(plan, 2, -9.0, 7.0), (frozenset(), frozenset({1}))),
        shot_of(project, plan),
    ):
        assert still._changed(shot) is not None
        picture, taken = still.shown(shot)
        assert taken == shot
        assert _furthest(picture.toImage(), plainly(shot)) <= ROUNDING


def test_a_name_that_gives_way_to_a_moved_one_is_mended_too(desk):
    project, plan = desk
    still = Still(lambda: None)
    still.chores = Chores()
    far = moved(plan, 0, 0.0, 0.0)
    near = moved(plan, 0, 14.0, 0.0)
    still.shown(shot_of(project, far))
    for shot in (shot_of(project, near), shot_of(project, far)):
        assert still._changed(shot) is not None
        assert _furthest(still.shown(shot)[0].toImage(), plainly(shot)) <= ROUNDING


def test_one_that_takes_long_is_painted_between_events_and_the_old_one_is_shown(desk):
    project, plan = desk
    told = []
    still = Still(lambda: told.append(True))
    chores = still.chores = Chores()
    first, second = shot_of(project, plan), shot_of(project, plan, look=DARK)
    still.shown(first)
    still._rate = 1e6
    told.clear()
    assert still.shown(second)[1] == first
    assert still.shown(second)[1] == first
    assert chores.waits(PAINTING)
    chores.finish()
    picture, taken = still.shown(second)
    assert taken == second
    assert told == [True]
    assert picture.toImage() == plainly(second)


def test_a_new_view_of_it_drops_the_one_that_was_coming(desk):
    project, plan = desk
    still = Still(lambda: None)
    chores = still.chores = Chores()
    first = shot_of(project, plan)
    still.shown(first)
    still._rate = 1e6
    for scale in (5.0, 6.0):
        still.shown(shot_of(project, plan, viewing=Viewing(scale, 40.0, 380.0)))
        chores._do(PAINTING, 0.0)
    chores.finish()
    assert still._shot is not None
    assert still._shot.viewing.scale == 6.0


def test_a_drag_that_begins_before_the_rules_are_ready_is_followed_when_they_are(planned):
    chores = Chores(planned)
    planned.work_between(chores)
    canvas = planned.canvas
    at = canvas.viewing.to_screen(canvas.scene.dies[0].cut.pointAtPercent(0.1))
    send(canvas, QEvent.Type.MouseButtonPress, at)
    send(canvas, QEvent.Type.MouseMove, at + QPointF(60, 0))
    assert canvas.live.rules is None
    assert canvas.live.findings() == ()
    chores.finish()
    assert canvas.live.about(canvas.draft) != []
    at_once = [f.what for f in canvas.live.findings()]
    draft = canvas.draft
    canvas.live.chores = None
    canvas.live.drop()
    canvas.live.follow(draft)
    assert [f.what for f in canvas.live.findings()] == at_once
    canvas.take_draft(Draft())


def test_the_panels_catch_up_with_a_new_plan_between_events(planned, qtbot):
    chores = Chores(planned)
    planned.work_between(chores)
    chores.finish()
    plan = planned.document.plan
    planned.document.change_plan("Plan", moved(plan, 0, 9.0, 0.0))
    qtbot.waitUntil(lambda: planned.faults._fresh, timeout=10000)
    chores.finish()
    assert len(planned.faults.known) > 0
    assert f"{len(planned.faults.known)} fault" in planned.answers.cards[2].accessibleName()
