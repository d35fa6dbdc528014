"""'Which wanted list fits now?' asked about every project of the workshop."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject

from app.planner.counting import Answer, answer_of
from app.planner.question import Question
from layout.model.project import Project

SECONDS = 8.0  # for each project


@dataclass(frozen=True, slots=True)
class Names:
    """Name and path of every project, in the order of their numbers."""

    lists: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """How one list stands before anything is laid: open, made, nothing (is wanted) or unreadable."""

    number: int
    state: str
    kits: int
    most: int
    why: str


@dataclass(frozen=True, slots=True)
class Fit:
    """What is known of one list; pieces by their ids as name and paper, papers by their ids as names."""

    number: int
    answer: Answer
    pieces: dict[str, tuple[str, str]]
    papers: dict[str, str]


class Survey(Question):
    """Asks about all at once; tells Names, then a Standing for each, then a Fit whenever more is known of one."""

    FAILED = "What can be made was not found out; ask once more."

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.seconds = SECONDS

    def start(self, workshop: Path, sheet: tuple[float, float], present: Project, path: Path | None) -> None:
        """Ask about the projects of a workshop and the one that is open; raises FileError."""
        self.drop()
        asked = ["lists", "--workshop", str(workshop), "--seconds", f"{self.seconds:g}"]
        asked += ["--sheet", f"{sheet[0]:g}", f"{sheet[1]:g}"]
        if present.wanted:
            asked += ["--present", str(self._hand_over(present))]
            asked += ["--present-at", str(path)] if path is not None else []
        self._ask(asked)

    def read(self, told: dict[str, Any]) -> Names | Standing | Fit:
        """Read one line of the answer."""
        if told["event"] == "lists":
            return Names(tuple((str(name), str(path)) for name, path in told["lists"]))
        number = int(told["number"])
        if told["event"] == "listed":
            return Standing(number, str(told["state"]), int(told["kits"]), int(told["most"]), str(told["why"]))
        pieces = {str(w): (str(name), str(paper)) for w, (name, paper) in told["pieces"].items()}
        papers = {str(p): str(name) for p, name in told["papers"].items()}
        return Fit(number, answer_of(told, final=told["event"] == "answered"), pieces, papers)
