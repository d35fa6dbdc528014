import copy
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layout.formats.plan_file import parse_plan, plan_bytes, read_plan, write_plan
from layout.geometry.pose import Pose
from layout.model.errors import FileError
from layout.model.plan import (
    Cut,
    CutDown,
    CutPanel,
    LaidScrap,
    Layout,
    PlacedDie,
    Plan,
    Punched,
    Run,
    StraightCut,
    Unplaced,
)
from tests.support import shared
from tests.support.panel_plans import panel_case

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=10)
ID = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=10)
EXTRA = st.dictionaries(ID.map(lambda name: f"x {name}"), st.booleans() | TEXT | st.integers(), max_size=2)
POSE = st.builds(Pose, st.floats(-1e5, 1e5), st.floats(-1e5, 1e5), st.floats(-1e6, 1e6))
PART = st.none() | st.integers(0, 9)
COPY = st.integers(0, 99)
COPIES = st.lists(COPY, min_size=1, max_size=3).map(tuple)
PLACE = st.floats(-5e4, 5e4)
LINE = st.tuples(st.tuples(PLACE, PLACE), st.tuples(PLACE, PLACE)).filter(lambda line: line[0] != line[1])


def tuples(of, least=0):
    return st.lists(of, min_size=least, max_size=2).map(tuple)


RUN = st.builds(
    Run,
    tuples(st.builds(LaidScrap, ID, POSE, COPIES, PART, extra=EXTRA), least=1),
    tuples(st.builds(Cut, st.just(0), st.just(0), ID, extra=EXTRA)),
    extra=EXTRA,
)
LAYOUT = st.builds(Layout, ID, tuples(st.builds(PlacedDie, ID, POSE, extra=EXTRA), least=1), tuples(RUN), extra=EXTRA)
CUT_DOWN = st.builds(CutDown, ID, tuples(st.builds(StraightCut, st.just(0), LINE, extra=EXTRA)), COPY, extra=EXTRA)
PLANS = st.builds(
    Plan,
    st.lists(LAYOUT, max_size=2, unique_by=lambda layout: layout.id).map(tuple),
    tuples(st.builds(Punched, ID, ID, ID, POSE, COPY, PART, extra=EXTRA)),
    st.lists(CUT_DOWN, max_size=2, unique_by=lambda c: (c.scrap, c.copy)).map(tuple),
    tuples(st.builds(CutPanel, ID, ID, ID, POSE, COPY, PART, extra=EXTRA)),
    tuples(st.builds(Unplaced, ID, st.integers(1, 999), TEXT, extra=EXTRA)),
    st.integers(0, 99),
    TEXT,
    extra=EXTRA,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(PLANS)
def test_everything_comes_back(plan):
    assert parse_plan(plan_bytes(plan), "again.json") == plan


@pytest.mark.parametrize("case", shared.case_projects(), ids=lambda p: p.stem)
def test_known_plans_come_back(case):
    path = shared.known_plan(case)
    if not path.exists():
        pytest.skip("no plan is known for this case")
    written, tree = json.loads(plan_bytes(read_plan(path))), shared.load(path)
    assert {key: written[key] for key in tree} == tree
    assert set(written) - set(tree) == {"because", "cut_downs", "panels"}


def right():
    return copy.deepcopy(panel_case(1)[1])


def refusal(tree):
    with pytest.raises(FileError) as caught:
        parse_plan(json.dumps(tree).encode(), "plan.json")
    assert str(caught.value).isprintable()
    return str(caught.value)


def test_unknown_fields_survive_at_every_level():
    tree = right()
    tree["punched"] = [{"wanted": "w", "punch": "p", "scrap": "s", "pose": {"x": 0, "y": 0, "turn": 0}}]
    tree["unplaced"] = [{"wanted": "w", "count": 1, "reason": "no room"}]
    tree["status"] = "partial"
    noted = with_held(tree)
    written = json.loads(plan_bytes(parse_plan(json.dumps(noted).encode(), "x")))
    assert count_held(written) == count_held(noted) > 14


def with_held(value):
    if isinstance(value, dict):
        return {key: with_held(v) for key, v in value.items()} | {"held": True}
    return [with_held(v) for v in value] if isinstance(value, list) else value


def count_held(value):
    if isinstance(value, dict):
        return (value.get("held") is True) + sum(count_held(v) for v in value.values())
    return sum(map(count_held, value)) if isinstance(value, list) else 0


CHANGES = [
    (lambda t: t.update(format="plateful-project"), 'format: this is no plan: it says "plateful-project"'),
    (lambda t: t.update(version=7), "newer Plateful"),
    (lambda t: t.update(status="done"), 'status: "done" is no status'),
    (lambda t: t.update(status="partial"), 'status: "partial" does not fit 0 pieces unplaced'),
    (lambda t: t.update(passes=3), "passes: 3 does not fit the 1 runs"),
    (lambda t: t.update(lower_bound=0), "proven: true does not fit 1 passes and a lower bound of 0"),
    (lambda t: t["layouts"].append(t["layouts"][0]), 'layouts[1].id: "A" is already used at layouts[0].id'),
    (lambda t: t["layouts"][0]["runs"][0]["cuts"][0].update(die=1), "runs[0].cuts[0].die: there is no die of the lay"),
    (lambda t: t["layouts"][0]["runs"][0]["cuts"][0].update(scrap=-1), "runs[0].cuts[0].scrap: -1 is too small"),
    (lambda t: t["layouts"][0]["runs"][0]["cuts"][0].update(scrap=1), "cuts[0].scrap: there is no scrap of the run"),
    (lambda t: t["layouts"][0]["runs"][0]["scraps"][0].update(copies=[]), "scraps[0].copies: the list is empty"),
    (lambda t: t["layouts"][0]["dies"][0]["pose"].pop("x"), "layouts[0].dies[0].pose.x: this field is missing"),
    (lambda t: t["layouts"][0]["dies"][0]["pose"].update(turn="up"), "dies[0].pose.turn: a number is needed"),
    (lambda t: t["cut_downs"][0]["cuts"][0].update(part=1), "cut_downs[0].cuts[0].part: there is no part number 1"),
    (lambda t: t["cut_downs"][0]["cuts"][0].update(line=[[0, 0], [0, 0]]), "cuts[0].line: the line has no length"),
    (lambda t: t["cut_downs"][0]["cuts"][0].update(line=[[0, 0]]), "cuts[0].line: a line [[x, y], [x, y]] is needed"),
    (lambda t: t["cut_downs"].append(t["cut_downs"][0]), "is already used at cut_downs[0]"),
    (lambda t: t.update(unplaced=[{"wanted": "w", "count": 0}]), "unplaced[0].count: 0 is too small"),
]


@pytest.mark.parametrize("index", range(len(CHANGES)))
def test_what_does_not_fit_together_is_refused(index):
    tree = right()
    CHANGES[index][0](tree)
    assert CHANGES[index][1] in refusal(tree)


def test_written_and_read(tmp_path):
    plan = parse_plan(json.dumps(right()).encode(), "x")
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan
