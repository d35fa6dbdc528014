"""The stamped image that is held on the picked scrap: taken, dragged, nudged, turned, framed by another die."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from math import hypot

from PySide6.QtCore import QPointF

from app.canvas.paths import path_of
from app.document.document import Document
from app.wayin.found import Found
from app.wayin.stamps import PLAIN, STAIN, Stamp, die_by_id, frame_of, framed_by, laid_by_hand, moved, turned
from app.wayin.tray import Tray
from layout.geometry.outline import Outline, Point

Stamps = tuple[Stamp, ...]
OTHERS = {STAIN: "no die: keep pieces off it", PLAIN: "no image: plain paper"}


class StampHold:
    """Knows which image of the picked scrap is held; every change is one step of the tray."""

    def __init__(self, tray: Tray, document: Document, told: Callable[[], None]) -> None:
        self._tray, self._document, self._told = tray, document, told
        self.at = -1
        self.active = False  # whether the hand is on it in the picture
        self.draft: Stamp | None = None
        self._from: Point = (0.0, 0.0)

    @property
    def stamps(self) -> Stamps:
        """The images of the picked scrap as they are just now, while one is dragged."""
        thing = self._tray.thing
        if thing is None or thing.kind != "scrap" or not thing.kept:
            return ()
        stamps = thing.stamps
        if self.draft is not None and 0 <= self.at < len(stamps):
            return (*stamps[: self.at], self.draft, *stamps[self.at + 1 :])
        return stamps

    @property
    def held(self) -> Stamp | None:
        """The image that is held."""
        return self.stamps[self.at] if 0 <= self.at < len(self.stamps) else None

    def outline(self, stamp: Stamp) -> Outline:
        """Return where an image is taken hold of: its frame, or its ink."""
        return frame_of(stamp, self._document.project) or stamp.ink

    def pick(self, at: int, *, active: bool = False) -> None:
        """Hold an image by its number, -1 for none; `active`: in the picture, where the arrows move it."""
        self.at, self.draft = (at if at < len(self.stamps) else -1), None
        self.active = active and self.at >= 0
        self._told()

    def words(self, stamp: Stamp) -> str:
        """Return what frames an image."""
        die = die_by_id(self._document.project, stamp.die)
        return die.name if die is not None else OTHERS.get(stamp.die, stamp.die)

    def step(self) -> None:
        """Hold the next image."""
        if self.stamps:
            self.pick((self.at + self.active) % len(self.stamps), active=True)

    def refresh(self) -> None:
        """Let go of what is there no longer."""
        self.draft = None
        if self.at >= len(self.stamps):
            self.at, self.active = -1, False

    def take(self, at: Point) -> bool:
        """Take hold of the image at a place; tells whether there was one."""
        place = QPointF(*at)
        found = [k for k, s in enumerate(self.stamps) if path_of(self.outline(s)).contains(place)]
        if found:
            self._from = at
            self.pick(self.at if self.at in found else found[-1], active=True)
        return bool(found)

    def drag(self, to: Point) -> None:
        """Show the held image's frame where the hand is."""
        thing = self._tray.thing
        if thing is not None and 0 <= self.at < len(thing.stamps):
            self.draft = moved(thing.stamps[self.at], to[0] - self._from[0], to[1] - self._from[1])

    def let_go(self) -> None:
        """Keep what was dragged."""
        draft, self.draft = self.draft, None
        if draft is not None and hypot(draft.pose.x - self._own.pose.x, draft.pose.y - self._own.pose.y) > 0:
            self._keep(draft)

    def nudge(self, dx: float, dy: float, step: float) -> bool:
        """Move the held image's frame by a step in mm; tells whether one is held."""
        if self.held is None or not self.active:
            return False
        self._keep(moved(self.held, dx * step, dy * step), "nudge an image")
        return True

    def turn(self, degrees: float) -> bool:
        """Turn the held image's frame; tells whether one is held."""
        if self.held is None or not self.active:
            return False
        self._keep(turned(self.held, self._document.project, degrees), "turn an image")
        return True

    def frame(self, die: str) -> None:
        """Let a die frame the held image, or make it a stain or nothing."""
        if self.held is not None:
            self._keep(framed_by(self.held, self._document.project, die))

    def remove(self) -> None:
        """Take the held image for plain paper: one that was found stays to be seen, so that it can be framed again."""
        if self.held is not None:
            self.frame(PLAIN)

    def add(self, die: str) -> bool:
        """Lay a die over the middle of the picked scrap, for an image that was not found."""
        thing = self._tray.thing
        made = None if thing is None else laid_by_hand(self._document.project, die, _middle(thing))
        if thing is None or made is None:
            return False
        self._tray.alter(stamps=(*thing.stamps, made))
        self.pick(len(thing.stamps), active=True)
        return True

    @property
    def _own(self) -> Stamp:
        assert self._tray.thing is not None
        return self._tray.thing.stamps[self.at]

    def _keep(self, stamp: Stamp, merge: Hashable = None) -> None:
        thing = self._tray.thing
        if thing is not None:
            stamps = (*thing.stamps[: self.at], stamp, *thing.stamps[self.at + 1 :])
            self._tray.alter(merge and (merge, self.at), stamps=stamps)
            self._told()


def _middle(thing: Found) -> Point:
    left, low, right, high = thing.outline.bounds
    return (left + right) / 2, (low + high) / 2
