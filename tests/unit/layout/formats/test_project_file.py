import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layout.formats.project_file import parse_project, project_bytes, read_project, write_project
from layout.geometry.outline import Outline, OutlineError
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.errors import FileError
from layout.model.project import Clearances, Die, Image, Machine, Panel, Paper, Project, Punch, Scrap, Wanted
from tests.support import shared
from tests.support.broken_files import good_tree, square
from tests.support.random_projects import random_project


def again(project):
    return parse_project(project_bytes(project), "again.json")


def read(tree):
    return parse_project(json.dumps(tree).encode(), "tree.json")


# ---- round trips -------------------------------------------------------------------------------------------------

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
ID = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
LENGTH = st.floats(0, 50_000)
PLACE = st.floats(-50_000, 50_000)
ANGLE = st.floats(-1e6, 1e6)
COUNT = st.integers(0, 100_000)
UNKNOWN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=5,
)
EXTRA = st.dictionaries(ID.map(lambda name: f"x {name}"), UNKNOWN, max_size=2)


@st.composite
def outlines(draw):
    """Any three corners, and sometimes an opening about their middle."""
    corners = draw(st.lists(st.tuples(PLACE, PLACE), min_size=3, max_size=3, unique=True))
    middle = (sum(x for x, _ in corners) / 3, sum(y for _, y in corners) / 3)
    opening = [tuple((a + 2 * m) / 3 for a, m in zip(corner, middle, strict=True)) for corner in corners]
    try:
        return Outline.of(corners, [opening] if draw(st.booleans()) else [])
    except OutlineError:
        return Outline.rectangle(10, 20)


POSE = st.builds(Pose, PLACE, PLACE, ANGLE)
LINE = st.tuples(st.tuples(PLACE, PLACE), st.tuples(PLACE, PLACE))
INFINITE = st.just(math.inf)


@st.composite
def projects(draw):
    """Projects of every kind of thing, with names that fit together."""
    names = draw(st.lists(ID, min_size=6, max_size=6, unique=True))
    paper = draw(st.builds(Paper, st.just(names[3]), TEXT, LENGTH, LENGTH, st.integers(1, 99), extra=EXTRA))
    image = st.builds(Image, ID, POSE, st.none() | outlines(), extra=EXTRA)
    few = {"max_size": 2}
    scrap = st.builds(
        Scrap, st.just(names[4]), st.just(names[3]), outlines(), COUNT, ANGLE,
        st.lists(outlines(), **few).map(tuple), st.lists(image, **few).map(tuple), extra=EXTRA,
    )  # fmt: skip
    turn = st.sampled_from(["any", "upright"]) | st.lists(ANGLE, min_size=1, max_size=3).map(tuple)
    wanted = st.builds(
        Wanted, st.just(names[5]), st.sampled_from(names[:3]), COUNT, st.sampled_from([None, names[3]]), turn,
        st.none() | st.floats(0, 360), st.none() | TEXT, st.booleans(), extra=EXTRA,
    )  # fmt: skip
    bed = st.floats(0, 50_000, exclude_min=True)
    return Project(
        machine=draw(st.builds(Machine, TEXT, bed, bed, LENGTH, LENGTH, LENGTH | INFINITE, extra=EXTRA)),
        clearances=draw(st.builds(Clearances, LENGTH, LENGTH, LENGTH, LENGTH, extra=EXTRA)),
        dies=(draw(st.builds(Die, st.just(names[0]), TEXT, outlines(), outlines(), COUNT, extra=EXTRA)),),
        punches=(draw(st.builds(Punch, st.just(names[1]), TEXT, outlines(), PLACE, LENGTH | INFINITE, extra=EXTRA)),),
        panels=(
            draw(st.builds(Panel, st.just(names[2]), TEXT, outlines(), st.lists(LINE, **few).map(tuple), extra=EXTRA)),
        ),
        papers=(paper,),
        scraps=(draw(scrap),),
        wanted=(draw(wanted),),
        kits=draw(st.integers(1, 100_000)),
        spares=draw(st.dictionaries(ID, COUNT, max_size=2)),
        name=draw(TEXT),
        known_passes=draw(st.none() | COUNT),
        extra=draw(EXTRA),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(projects())
def test_every_number_and_field_comes_back(project):
    assert again(project) == project


@pytest.mark.parametrize("seed", range(0, 60, 2))
def test_random_projects_come_back(seed):
    project = random_project(seed, panels=seed % 4 == 0)
    assert again(project) == project


@pytest.mark.parametrize("case", shared.case_projects(), ids=lambda p: p.stem)
def test_the_cases_come_back_with_all_they_say(case):
    tree = shared.load(case)
    written = json.loads(project_bytes(read_project(case)))
    assert without_defaults(tree, written) == tree


def without_defaults(tree, written):
    """Leave out of what was written the fields that the original did not have, and see that they are defaults."""
    if isinstance(tree, dict):
        added = {key: written[key] for key in written if key not in tree}
        assert set(added) <= set(DEFAULTS), added
        assert all(DEFAULTS[key] == value for key, value in added.items()), added
        # Null says the same as leaving out, and is left out.
        return {key: without_defaults(value, written.get(key)) for key, value in tree.items()}
    if isinstance(tree, list):
        return [without_defaults(a, b) for a, b in zip(tree, written, strict=True)]
    return written


# The contract's defaults of fields that a file may leave out.
DEFAULTS = {"layers": 1, "count": 1, "up": 90, "turn": "any", "copies": 1, "panels": [], "spares": {}, "punches": []}


# ---- unknown fields ----------------------------------------------------------------------------------------------


def with_notes(value, path=""):
    """Put an unknown field into every object at every level."""
    if isinstance(value, dict):
        noted = {key: with_notes(v, f"{path}.{key}") for key, v in value.items()}
        return noted if path == ".spares" else noted | {"note": f"at {path}"}
    return [with_notes(v, f"{path}[{i}]") for i, v in enumerate(value)] if isinstance(value, list) else value


def full_tree():
    tree = good_tree()
    tree["scraps"][0]["images"] = [
        {"image": "a moth", "pose": {"x": 1, "y": 2, "turn": 3}, "outline": square(8)},
    ]
    tree["panels"] = [{"id": "side", "name": "side", "outline": square(40), "scores": [[[0, 1], [2, 1]]]}]
    return tree


def test_unknown_fields_survive_at_every_level():
    tree = with_notes(full_tree())
    written = json.loads(project_bytes(read(tree)))
    assert notes(written) == notes(tree)
    assert len(notes(tree)) == 23
    assert read(written) == read(tree)


def notes(value):
    """Collect every note in a tree."""
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    own = {value["note"]} if isinstance(value, dict) and "note" in value else set()
    return own.union(*(notes(v) for v in inner))


def test_the_contracts_fields_come_first():
    written = json.loads(project_bytes(read(with_notes(full_tree()))))
    assert list(written)[:3] == ["format", "version", "name"]
    assert list(written)[-1] == "note"
    assert list(written["dies"][0]) == ["id", "name", "body", "cut", "copies", "note"]


def test_a_note_about_something_that_is_gone_goes_with_it():
    project = read(with_notes(full_tree()))
    image = replace(project.scraps[0].images[0], outline=None)
    scrap = replace(project.scraps[0], images=(image,), spoiled=())
    written = json.loads(project_bytes(replace(project, scraps=(scrap,))))
    assert "outline" not in written["scraps"][0]["images"][0]
    assert "spoiled" not in written["scraps"][0]
    assert again(replace(project, scraps=(scrap,))).scraps[0].spoiled == ()


def test_long_names_of_fields_with_nothing_in_them():
    tree = good_tree() | {"x" * 200: [], "y" * 200: {}, "z" * 200: [[1, 2], [3, 4]], "": [[]]}
    assert json.loads(project_bytes(read(tree))).items() >= {k: tree[k] for k in list(tree)[-4:]}.items()


def test_a_field_of_any_size_of_number_is_kept():
    tree = good_tree() | {"serial": 12345678901234567890123456789, "tiny": 5e-324}
    assert json.loads(project_bytes(read(tree)))["serial"] == 12345678901234567890123456789


# ---- what is tolerated, exactly ----------------------------------------------------------------------------------


def test_a_ring_closed_by_its_first_corner():
    tree = good_tree()
    ring = tree["dies"][0]["body"]["outer"]
    tree["dies"][0]["body"]["outer"] = [*ring, ring[0]]
    assert read(tree) == read(good_tree())


def test_corners_given_twice_in_a_row():
    tree = good_tree()
    ring = tree["dies"][0]["body"]["outer"]
    tree["dies"][0]["body"]["outer"] = [ring[0], ring[0], ring[1], ring[2], ring[2], ring[2], ring[3], ring[0], ring[0]]
    assert read(tree) == read(good_tree())


def test_either_way_round():
    tree = good_tree()
    tree["dies"][0]["body"]["outer"].reverse()
    assert read(tree).dies[0].body.area == read(good_tree()).dies[0].body.area == 24 * 24


def test_what_may_be_left_out():
    least = {"format": "plateful-project", "version": 1, "machine": {"bed": {"width": 100, "length": 200}}}
    project = read(least)
    assert project == Project(machine=Machine("", 100.0, 200.0))
    assert project.machine.overhang_along == math.inf
    assert "overhang_along" not in json.loads(project_bytes(project))["machine"]


def test_null_means_any_paper():
    tree = good_tree()
    tree["wanted"][0]["paper"] = None
    assert read(tree).wanted[0].paper is None


def test_a_whole_number_written_with_a_point():
    assert read(good_tree() | {"kits": 2.0}).kits == 2


def test_a_mark_of_byte_order_before_the_text():
    assert parse_project(b"\xef\xbb\xbf" + json.dumps(good_tree()).encode(), "x") == read(good_tree())


def test_spares_of_pieces_no_longer_wanted_are_kept():
    assert again(read(good_tree() | {"spares": {"w-old": 3}})).spares == {"w-old": 3}


# ---- on the disk -------------------------------------------------------------------------------------------------


def test_written_and_read(tmp_path):
    path = tmp_path / "a project.json"
    write_project(read(good_tree()), path)
    assert read_project(path) == read(good_tree())
    assert [p.name for p in tmp_path.iterdir()] == ["a project.json"]


def test_it_can_be_read_by_people():
    lines = project_bytes(read(good_tree())).decode().splitlines()
    assert max(map(len, lines)) <= 120
    assert ' "clearances": {"body_gap": 1, "paper_edge": 2, "web": 1.5, "image_tolerance": 0.5},' in lines


def test_the_name_stands_in_front_of_every_fault():
    with pytest.raises(FileError, match=r"^night\.json: wanted\[0\]\.shape: no die, punch or panel is called"):
        parse_project(json.dumps(good_tree() | {"wanted": [{"id": "w", "shape": "x"}]}).encode(), "night.json")
