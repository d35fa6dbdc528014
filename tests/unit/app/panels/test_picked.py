"""What is picked is told below the plate without moving anything else."""

from app.panels.picked import Picked


def test_picking_pushes_no_panel_aside(planned):
    room = planned.canvas.width()
    planned.selection.pick(dies=frozenset({0}))
    assert planned.findChild(Picked).minimumSizeHint().width() <= room


def test_the_short_names_are_said_in_full_to_a_screen_reader(planned):
    names = [tool.accessibleName() for tool in planned.findChild(Picked)._tools.values()]
    assert "Put back in the drawer" in names
