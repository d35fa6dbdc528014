"""Choosing the pass that what is picked is to be laid in: a small menu, for keys and for the mouse."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QMenu

from app.panels.ticked import caption

if TYPE_CHECKING:
    from app.window import Window


def ask_for_pass(window: Window) -> QMenu | None:
    """Offer every other pass; None, and a word why, where there is nothing to carry or nowhere to."""
    selection, ordering = window.selection, window.ordering
    places = ordering.places
    if selection.empty or len(places) < 2:
        window.messages.fault(
            "Pick what to move to another pass first."
            if selection.empty
            else "There is only this pass; duplicate the layout to get another."
        )
        return None
    menu = QMenu("Move to another pass", window)
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    menu.setAccessibleName("Move to another pass")
    for number, place in enumerate(places):
        action = menu.addAction(caption(number, window.document.plan.layouts[place[0]].id))
        action.setEnabled(place != (selection.layout, selection.run))
        action.triggered.connect(partial(_carry, window, place))
    canvas = window.canvas
    around = canvas.picked_bounds()
    at = canvas.viewing.to_screen(around.center()).toPoint() if around is not None else QPoint(40, 40)
    menu.popup(canvas.mapToGlobal(at))
    return menu


def _carry(window: Window, place: tuple[int, int], _checked: bool) -> None:
    window.ordering.carry_over(place)
