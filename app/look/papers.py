"""How each paper of a project looks: a ground that suits its name, and a hatch that tells it apart without colour."""

from __future__ import annotations

import re
from collections.abc import Iterable

from PySide6.QtGui import QColor

from app.look.tokens import PAPERS
from layout.geometry.value import Value
from layout.model.project import Paper

HATCHES = ("plain", "rising", "dots", "level", "falling", "upright", "crossed", "dashes")

# Plain colour words, so that a paper called 'moss' looks like moss without being told.
WORDS = {
    "white": "#fbfaf6",
    "cream": "#f5ead0",
    "ivory": "#f7f0dd",
    "sand": "#e6d6b8",
    "kraft": "#c9a97f",
    "brown": "#a98763",
    "moss": "#a9b98c",
    "green": "#a8c3a0",
    "sage": "#bccab0",
    "mint": "#cbe3d4",
    "teal": "#9cc4c2",
    "dusk": "#b3a9cf",
    "night": "#7f86ab",
    "blue": "#a9c0de",
    "navy": "#7c8db4",
    "lilac": "#d3c6e4",
    "purple": "#b8a3cc",
    "plum": "#b794ab",
    "pink": "#ecc9cf",
    "rose": "#e3b4b9",
    "red": "#d99a94",
    "orange": "#efc08d",
    "yellow": "#f2e19a",
    "gold": "#dcc68a",
    "silver": "#cfd4d8",
    "grey": "#c4c4c2",
    "gray": "#c4c4c2",
    "black": "#84848a",
    "vellum": "#eeeeea",
}


class PaperLook(Value, frozen=True):
    """The ground of a paper and its hatch."""

    name: str
    ground: str
    hatch: str


def paper_looks(papers: Iterable[Paper]) -> dict[str, PaperLook]:
    """Return the look of every paper by its id; papers in a row differ in hatch."""
    return {
        paper.id: PaperLook(paper.name, _ground(paper, at), HATCHES[at % len(HATCHES)])
        for at, paper in enumerate(papers)
    }


def _ground(paper: Paper, at: int) -> str:
    own = paper.extra.get("colour")
    if isinstance(own, str) and QColor.isValidColorName(own):
        return own
    for word in re.findall(r"[a-z]+", f"{paper.name} {paper.id}".lower()):
        if word in WORDS:
            return WORDS[word]
    return PAPERS[at % len(PAPERS)]
