"""The way of the Tab key through the window: as one reads it, whenever a part of it was made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QWidget


def next_stop(parts: Sequence[QWidget], now: QWidget | None, *, on: bool) -> QWidget | None:
    """Return what the Tab key goes to: part by part, in each from the top left on; None where nothing may have it."""
    stops = [stop for part in parts for stop in _in_rows(list(_stops_in(part)))]
    if not stops:
        return None
    if now not in stops:
        # A leaf just turned to has the keyboard as a whole, or nothing has it: the way goes on in that part.
        inside = [stop for stop in stops if now is not None and now.isAncestorOf(stop)] or stops
        return inside[0 if on else -1]
    return stops[(stops.index(now) + (1 if on else -1)) % len(stops)]


def _stops_in(part: QWidget) -> Iterator[QWidget]:
    for widget in (part, *part.findChildren(QWidget)):
        takes = widget.focusPolicy().value & Qt.FocusPolicy.TabFocus.value
        if takes and widget.focusProxy() is None and widget.isEnabled() and widget.isVisible():
            yield widget


def _in_rows(stops: list[QWidget]) -> list[QWidget]:
    """Return widgets in the order of reading: those about as high as the first of a row belong to that row."""
    places = sorted(((_place(stop), stop) for stop in stops), key=lambda placed: placed[0].y())
    rows: list[list[tuple[QPoint, QWidget]]] = []
    for placed in places:
        first = rows[-1][0] if rows else None
        if first is None or placed[0].y() - first[0].y() > min(first[1].height(), placed[1].height()) / 2:
            rows.append([])
        rows[-1].append(placed)
    return [stop for row in rows for _, stop in sorted(row, key=lambda placed: placed[0].x())]


def _place(widget: QWidget) -> QPoint:
    return widget.mapTo(widget.window(), QPoint())
