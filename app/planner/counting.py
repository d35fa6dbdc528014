"""'What can I make?' asked about one project."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject

from app.planner.question import Question
from layout.model.project import Project

SECONDS = 20.0


@dataclass(frozen=True, slots=True)
class Answer:
    """What is known so far, as plain data of `python -m layout makeable`."""

    kits: int
    most: int
    asked: int
    short: tuple[tuple[str, int, tuple[float, float], str], ...]
    cures: tuple[tuple[str, tuple[float, float], int, int], ...]
    incurable: tuple[str, ...]
    final: bool


class Counting(Question):
    """Asks how many kits there can be; tells an Answer whenever more is known."""

    FAILED = "What can be made was not found out; ask once more."

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.seconds = SECONDS

    def start(self, project: Project, sheet: tuple[float, float]) -> None:
        """Ask about a project; raises FileError where it cannot be handed over."""
        self.drop()
        asked = ["makeable", str(self._hand_over(project)), "--seconds", f"{self.seconds:g}"]
        self._ask([*asked, "--sheet", f"{sheet[0]:g}", f"{sheet[1]:g}"])

    def read(self, told: dict[str, Any]) -> Answer:
        """Read one line of the answer."""
        return answer_of(told, final=told["event"] == "done")


def answer_of(told: dict[str, Any], *, final: bool) -> Answer:
    """Read one line of the answer; raises KeyError, TypeError or ValueError where it is none."""
    return Answer(
        int(told["kits"]),
        int(told["most"]),
        int(told["asked"]),
        tuple((str(s["wanted"]), int(s["count"]), _pair(s["needs"]), str(s["why"])) for s in told["short"]),
        tuple((str(c["paper"]), _pair(c["sides"]), int(c["sheets"]), int(c["least"])) for c in told["cures"]),
        tuple(str(p) for p in told["incurable"]),
        final,
    )


def _pair(sides: Any) -> tuple[float, float]:
    width, length = sides
    return float(width), float(length)
