"""The corner of the picked outline that is held: taken, moved, let go, added, taken away."""

from __future__ import annotations

from collections.abc import Callable
from math import dist

from app.wayin.found import Found
from app.wayin.mending import added, corners_of, moved, removed, rings_of, with_ring
from app.wayin.tray import Tray
from layout.geometry.outline import Outline, OutlineError, Point, Ring
from layout.geometry.value import replace

Corner = tuple[int, int]  # which ring, which of its corners


class Hold:
    """Knows the corners of the picked outline; every change that ends in a sound outline is one step of the tray."""

    def __init__(self, tray: Tray, refuse: Callable[[str], None]) -> None:
        self._tray, self._refuse = tray, refuse
        self.corner: Corner | None = None
        self.draft: Outline | None = None
        self._of: Found | None = None
        self._corners: list[list[int]] = []

    @property
    def outline(self) -> Outline | None:
        """The picked outline as it is just now, while a corner is dragged."""
        thing = self._tray.thing
        return self.draft or (thing.outline if thing is not None else None)

    def places(self) -> list[tuple[Corner, Point]]:
        """Return every corner of the picked outline and where it is."""
        outline = self.outline
        if outline is None or self._tray.thing is None or not self._tray.thing.kept:
            return []
        rings = rings_of(outline)
        return [((r, k), rings[r][i]) for r, corners in enumerate(self._known()) for k, i in enumerate(corners)]

    def near(self, at: Point, reach: float) -> Corner | None:
        """Return the corner next to a place, if one is within reach (mm)."""
        gaps = [(dist(place, at), corner) for corner, place in self.places()]
        return min(gaps)[1] if gaps and min(gaps)[0] <= reach else None

    def take(self, at: Point, reach: float) -> bool:
        """Take hold of the corner next to a place; tells whether there was one."""
        found = self.near(at, reach)
        if found is not None:
            self.corner = found
        return found is not None

    def drop(self) -> None:
        """Hold nothing."""
        self.corner, self.draft = None, None

    def refresh(self) -> None:
        """Read the picked outline again."""
        self.draft = None
        if self.corner is not None and self.corner not in {corner for corner, _ in self.places()}:
            self.corner = None

    def step(self, by: int) -> None:
        """Hold the next or previous corner."""
        corners = [corner for corner, _ in self.places()]
        if corners:
            at = corners.index(self.corner) + by if self.corner in corners else 0
            self.corner = corners[at % len(corners)]

    def move_to(self, to: Point) -> None:
        """Show the held corner elsewhere."""
        thing = self._tray.thing
        if thing is not None and self.corner is not None:
            ring, which = self.corner
            self.draft = with_ring(thing.outline, ring, moved(self._ring(), self._known()[ring], which, to))

    def let_go(self) -> None:
        """Keep what was dragged, where it is a border that metal or paper can have."""
        draft, before, self.draft = self.draft, self._place(), None
        if draft is not None and self.corner is not None and before is not None:
            ring, which = self.corner
            here = rings_of(draft)[ring][self._known()[ring][which]]
            self._keep(draft, here, before, ("drag", here))

    def nudge(self, dx: float, dy: float, step: float) -> bool:
        """Move the held corner by a step in mm; tells whether one is held."""
        place = self._place()
        if place is None or self.corner is None:
            return False
        self.move_to((place[0] + dx * step, place[1] + dy * step))
        draft, self.draft = self.draft, None
        if draft is not None:
            ring, which = self.corner
            self._keep(draft, rings_of(draft)[ring][self._known()[ring][which]], place, "nudge")
        return True

    def add_at(self, at: Point, reach: float) -> None:
        """Add a corner on the border next to a place, if that is within reach (mm)."""
        thing = self._tray.thing
        if thing is None or not thing.kept:
            return
        made = [added(ring, at) for ring in rings_of(thing.outline)]
        which = min(range(len(made)), key=lambda k: dist(made[k][1], at))
        ring, point = made[which]
        if dist(point, at) <= reach:
            self._keep(with_ring(thing.outline, which, ring), point, None, None)
            self.take(point, 1e-6)

    def add_next(self) -> None:
        """Add a corner on the border midway from the held corner to the next."""
        if self.corner is None:
            return
        (which, k), ring = self.corner, self._ring()
        corners = self._known()[which]
        start, end = corners[k], corners[(k + 1) % len(corners)]
        stretch = [(start + n) % len(ring) for n in range((end - start) % len(ring) + 1)]
        middle = stretch[(len(stretch) - 1) // 2]
        a, b = ring[middle], ring[(middle + 1) % len(ring)]
        self.add_at(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) if len(stretch) < 4 else a, 1.0)

    def remove(self) -> None:
        """Take the held corner away: the border runs straight between its neighbours."""
        thing, place = self._tray.thing, self._place()
        if thing is None or self.corner is None or place is None:
            return
        ring, which = self.corner
        left = removed(self._ring(), self._known()[ring], which)
        if left is None:
            self._refuse("Three corners must stay; discard the outline instead.")
            return
        self._keep(with_ring(thing.outline, ring, left), None, place, None)

    def _keep(self, draft: Outline, here: Point | None, before: Point | None, merge: object) -> None:
        try:
            sound = Outline(draft.outer, draft.holes)
        except OutlineError as error:
            self._refuse(f"There the corner cannot go: {error}.")
            return
        thing = self._tray.thing
        if thing is not None:
            corners = (thing.corners - {before}) | ({here} if here is not None else set())
            self._tray.alter(merge, outline=sound, corners=corners)

    def _known(self) -> list[list[int]]:
        thing = self._tray.thing
        if thing is None:
            return []
        if self._of is None or self._of.outline is not thing.outline or self._of.corners != thing.corners:
            self._of = replace(thing)
            self._corners = [corners_of(ring, thing.corners) for ring in rings_of(thing.outline)]
        return self._corners

    def _ring(self) -> Ring:
        assert self._tray.thing is not None
        assert self.corner is not None
        return rings_of(self._tray.thing.outline)[self.corner[0]]

    def _place(self) -> Point | None:
        thing = self._tray.thing
        if thing is None or self.corner is None:
            return None
        return self._ring()[self._known()[self.corner[0]][self.corner[1]]]
