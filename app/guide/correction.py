"""From what the check bars measure on paper to the setting that did it, and to a print that is right all the same.

The ratios are those of the sheets themselves: A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in. A page made for one and
shrunk or blown up onto the other comes out by exactly these.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.guide.sheet import A4, LETTER, Sheet

BAR = 100.0
TRUE = 0.3
"""What a ruler and an eye may be off on 100 mm."""
NEAR = 0.4
"""A ratio is recognised within this many per cent."""
LEAST, MOST = 0.6, 1.4
"""Beyond this share the bar was not measured, or not this page."""


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What went wrong with a print, in a sentence, and what to do; `true` where nothing did."""

    true: bool
    cause: str
    remedy: str


class MeasureError(ValueError):
    """A measure that no print of this page can have; the message says what to measure."""


def diagnose(sheet: Sheet, across: float, along: float | None = None) -> Diagnosis:
    """Say which setting made the 100 mm bar `across` mm long (and the upright one `along`); raises MeasureError."""
    along = across if along is None else along
    for measured in (across, along):
        if not LEAST * BAR <= measured <= MOST * BAR:
            raise MeasureError(f"{measured:g} mm cannot be right: measure the bar marked 100 mm from end to end")
    if abs(across - BAR) <= TRUE and abs(along - BAR) <= TRUE:
        return Diagnosis(True, "The print is true to size.", "Nothing to do.")
    if abs(across - along) > 2 * TRUE:
        return Diagnosis(
            False,
            f"The printer is not the same across ({across:g} mm) and along ({along:g} mm): its paper feed is off.",
            "Print the guide again corrected for both measures.",
        )
    return _scaled(sheet, (across + along) / 2)


def _scaled(sheet: Sheet, measured: float) -> Diagnosis:
    for ratio, cause in _causes(sheet):
        if abs(measured / BAR - ratio) * 100 <= NEAR:
            return Diagnosis(False, cause, _remedy(sheet))
    if measured < BAR:
        cause = "The page was shrunk into the part of the sheet that the printer reaches: “fit” or “shrink” was on."
    else:
        cause = "The page was blown up: “fill the sheet”, “borderless” or a scale over 100 % was on."
    return Diagnosis(False, cause, "Set the scale to 100 % (“actual size”). If the printer cannot, print it corrected.")


def _causes(sheet: Sheet) -> list[tuple[float, str]]:
    other = LETTER if sheet.name == A4.name else A4
    fits = min(other.width / sheet.width, other.height / sheet.height)
    fills = max(other.width / sheet.width, other.height / sheet.height)
    halves = min(sheet.width / sheet.height, sheet.height / 2 / sheet.width)
    return [
        (fits, f"A page for {sheet.name} was shrunk to fit onto {other.name}."),
        (fills, f"A page for {sheet.name} was blown up to fill {other.name}."),
        (halves, "Two pages were printed on one sheet."),
    ]


def _remedy(sheet: Sheet) -> str:
    return f"Choose the paper that is in the printer, {sheet.name} or not, for the guide too, and the scale 100 %."


def corrected(sheet: Sheet, across: float, along: float | None = None) -> Sheet:
    """Return the sheet for a printer that cannot be set: what it makes of it comes out true; raises MeasureError."""
    diagnose(sheet, across, along)
    return sheet.corrected(across / BAR, None if along is None else along / BAR)
