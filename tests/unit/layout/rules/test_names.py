from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import CutDown, CutPanel, PlacedDie, Punched, Unplaced
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project, with_dies


def test_every_kind_of_name():
    plan = with_dies(simple_plan(), PlacedDie("fern", Pose(30, 50)), PlacedDie("star", Pose(70, 50)))
    plan = replace(
        plan,
        punched=(Punched("w-dots", "dots", "ss", Pose()),),
        cut_downs=(CutDown("tt", ()),),
        panels=(CutPanel("w-side", "side", "uu", Pose()),),
        unplaced=(Unplaced("w-moth", 1, "no room"),),
    )
    found = [(f.what, f.things[0]) for f in check(simple_project(), plan) if f.rule == "names"]
    assert found == [
        ('no die of this project is called "fern"', "layouts[0].dies[0]"),
        ('no punch of this project is called "dots"', "punched[0]"),
        ('no scrap of this project is called "ss"', "punched[0]"),
        ('no wanted piece of this project is called "w-dots"', "punched[0]"),
        ('no scrap of this project is called "tt"', "cut_downs[0]"),
        ('no panel of this project is called "side"', "panels[0]"),
        ('no scrap of this project is called "uu"', "panels[0]"),
        ('no wanted piece of this project is called "w-side"', "panels[0]"),
        ('no wanted piece of this project is called "w-moth"', "unplaced[0]"),
    ]
