"""The row of passes shows each pass as it is."""

from app.panels.passes import PassDelegate


def test_a_picture_begun_before_a_change_is_no_picture_of_what_came(planned):
    delegate = planned.passes.itemDelegate()
    assert isinstance(delegate, PassDelegate)
    work, before = delegate.make_picture((0, 0)), planned.document.plan.layouts[0]
    next(work)
    planned.selection.pick(dies=frozenset({0}))
    planned.hands.nudge(1.0, 0.0, fine=False)
    for _ in work:
        pass
    assert delegate._pictures[0, 0][1] == before != planned.document.plan.layouts[0]
