"""What is picked is told below the plate without moving anything else."""

from app.panels.picked import Picked


def test_picking_pushes_no_panel_aside(planned):
    room = planned.canvas.width()
    planned.selection.pick(dies=frozenset({0}))
    assert planned.findChild(Picked).minimumSizeHint().width() <= room


def test_the_short_names_are_said_in_full_to_a_screen_reader(planned):
    planned.selection.pick(dies=frozenset({0}))
    names = [tool.accessibleName() for tool in planned.findChild(Picked)._tools.values()]
    assert "Put back in the drawer" in names


def test_dies_go_back_in_the_drawer_and_scraps_on_the_heap(planned):
    action = planned.actions_by_id["put_back"]
    said = []
    for dies, scraps in (({0}, ()), ((), {0}), ({0}, {1})):
        planned.selection.pick(dies=frozenset(dies), scraps=frozenset(scraps))
        said.append(action.text())
    assert said == ["Put back in the drawer", "Put back on the heap", "Put back in drawer and heap"]
    assert planned.findChild(Picked)._tools["put_back"].accessibleName() == said[-1]
