"""Where things would lie while a gesture goes on: no part of the document until the hand lets go."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import field

from layout.geometry.pose import Pose
from layout.geometry.value import Value


class Draft(Value, frozen=True):
    """Poses of the dies and scraps in hand, by their numbers."""

    dies: Mapping[int, Pose] = field(default_factory=dict)
    scraps: Mapping[int, Pose] = field(default_factory=dict)

    @property
    def empty(self) -> bool:
        """Whether nothing is in hand."""
        return not self.dies and not self.scraps

    def shifted(self, dx: float, dy: float) -> Draft:
        """Return the draft pushed over the plate by so many mm."""

        def push(poses: Mapping[int, Pose]) -> dict[int, Pose]:
            return {i: Pose(p.x + dx, p.y + dy, p.turn) for i, p in poses.items()}

        return Draft(push(self.dies), push(self.scraps))

    def turned(self, degrees: float, about: tuple[float, float]) -> Draft:
        """Return the draft turned counter-clockwise about a point of the plate."""
        whole = Pose(*about, degrees).after(Pose(-about[0], -about[1]))

        def turn(poses: Mapping[int, Pose]) -> dict[int, Pose]:
            return {i: whole.after(p) for i, p in poses.items()}

        return Draft(turn(self.dies), turn(self.scraps))
