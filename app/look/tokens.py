"""Every colour, distance and type size of the program, in one place.

Contrast of text on its ground is at least 7:1 and of lines that carry meaning at least 3:1 (WCAG 1.4.6, 1.4.11);
tests/unit/app/look/test_tokens.py measures it.
"""

from __future__ import annotations

from typing import NamedTuple

FAMILY = "Lato"
TEXT_POINTS = 10.0
SMALL = 0.9
LARGE = 1.3
FIGURE = 2.4

GAP = 4
SPACE = 8
ROOM = 14
RADIUS = 6
SCROLL = 12  # a scroll bar's width
TARGET = 26  # least side of anything to click on, in logical pixels


class Look(NamedTuple):
    """One set of colours; names say what a colour is for."""

    name: str
    window: str
    panel: str
    field: str
    line: str
    text: str
    quiet: str
    accent: str
    on_accent: str
    accent_soft: str
    focus: str
    good: str
    warn: str
    fault: str
    fault_soft: str
    table: str
    plate: str
    plate_edge: str
    margin: str
    ruler: str
    ruler_ink: str
    shadow: str
    paper_edge: str
    paper_ink: str
    metal_light: str
    metal_dark: str
    metal_edge: str
    metal_ink: str
    cut: str
    tape: str


LIGHT = Look(
    name="light",
    window="#f4f2ee",
    panel="#fbfaf8",
    field="#ffffff",
    line="#d9d4cb",
    text="#23262b",
    quiet="#4d5159",
    accent="#3b3a7a",
    on_accent="#ffffff",
    accent_soft="#e4e3f3",
    focus="#3b3a7a",
    good="#1d5c3c",
    warn="#6b4300",
    fault="#8c1d18",
    fault_soft="#fbe9e6",
    table="#e4dfd6",
    plate="#f6f8f8",
    plate_edge="#8f9a9d",
    margin="#8a9598",
    ruler="#f4f2ee",
    ruler_ink="#4d5159",
    shadow="#2a2118",
    paper_edge="#8d8371",
    paper_ink="#3a352c",
    metal_light="#e9ecef",
    metal_dark="#a9b0b8",
    metal_edge="#5f6871",
    metal_ink="#1c2126",
    cut="#a3293d",
    tape="#e8dcae",
)

DARK = Look(
    name="dark",
    window="#1d1e22",
    panel="#25272c",
    field="#2d2f35",
    line="#44474f",
    text="#f0eee9",
    quiet="#c3c2be",
    accent="#b9b8f0",
    on_accent="#17172e",
    accent_soft="#3a3a5c",
    focus="#c9c8ff",
    good="#9fdcb8",
    warn="#f0c98a",
    fault="#ffb3aa",
    fault_soft="#4a2624",
    table="#15161a",
    plate="#2b3034",
    plate_edge="#7d8890",
    margin="#7d8890",
    ruler="#1d1e22",
    ruler_ink="#c3c2be",
    shadow="#000000",
    paper_edge="#5c5548",
    paper_ink="#2b2720",
    metal_light="#c9ced4",
    metal_dark="#868e97",
    metal_edge="#e6e9ec",
    metal_ink="#14181c",
    cut="#d4405a",
    tape="#d9cb94",
)

# Grounds for papers that name no colour of their own: quiet, told apart by hatch and label besides.
PAPERS = ("#f3ead3", "#c9d4b8", "#cfd6e4", "#e6cdd0", "#d8d2e6", "#e9dcbf", "#c8dadb", "#dcdcdc")
PAPER_DIM = 0.86  # how much of a paper's brightness stays in the dark look
