"""Lengths as people write them, in and out of millimetres: `2 1/4`, `2.25 in`, `57 mm`, `5,7 cm`."""

from __future__ import annotations

import math
import re
from typing import Literal

Unit = Literal["mm", "cm", "in"]

MM_PER: dict[Unit, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
POINT = 0.0254  # one thousandth of an inch: the trade's measure of a sheet's caliper
SIXTEENTHS = 16

_SPELLINGS: dict[str, Unit] = {
    "mm": "mm",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "cm": "cm",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "in": "in",
    "in.": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "”": "in",
    "''": "in",
}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*(?:(?P<whole>\d+)(?:\s+|-))?(?P<top>\d+)/(?P<bottom>\d+)|[+-]?(?:\d+\.?\d*|\.\d+)"
)


class UnitError(ValueError):
    """A length that cannot be read; the message says what would be understood."""


def parse_length(text: str, unit: Unit = "mm") -> float:
    """Read a length and return mm; `unit` counts where none is written; raises UnitError."""
    number, spelled = _split(text)
    if spelled and spelled not in _SPELLINGS:
        raise UnitError(f'"{spelled}" is no unit of length: write mm, cm or in')
    return _number(number, text) * MM_PER[_SPELLINGS[spelled] if spelled else unit]


def parse_sides(text: str, unit: Unit = "mm") -> tuple[float, float]:
    """Read two sides such as `2 1/4 x 1 1/2 in` and return mm; a unit after the last serves both; raises UnitError."""
    parts = re.split(r"\s*[x×*]\s*|\s+by\s+", text.strip().lower())
    if len(parts) != 2:
        raise UnitError(f'"{text.strip()}" is not two sides: write for example 2 1/4 × 1 1/2 in')
    spelled = _split(parts[1])[1]
    first = parts[0] if _split(parts[0])[1] else f"{parts[0]} {spelled}"
    return parse_length(first, unit), parse_length(parts[1], unit)


def format_length(mm: float, unit: Unit = "mm", *, with_unit: bool = True) -> str:
    """Write a length in mm for a person: tenths of a mm, or sixteenths of an inch where it is one of them."""
    return _inches(mm, with_unit) if unit == "in" else _metric(mm, unit, with_unit)


def format_sides(width: float, height: float, unit: Unit = "mm", *, with_unit: bool = True) -> str:
    """Write two sides in mm for a person, with the unit once: '57 × 38 mm'."""
    return f"{format_length(width, unit, with_unit=False)} × {format_length(height, unit, with_unit=with_unit)}"


def format_on_board(mm: float, unit: Unit = "mm", *, with_unit: bool = True) -> str:
    """Write a length as a scoring board or a ruler shows it: the nearest sixteenth of an inch, or tenths of a mm."""
    if unit != "in":
        return _metric(mm, unit, with_unit)
    return _sixteenths(round(mm / MM_PER["in"] * SIXTEENTHS)) + ("″" if with_unit else "")


def _metric(mm: float, unit: Unit, with_unit: bool) -> str:
    places = 1 if unit == "mm" else 2
    text = f"{mm / MM_PER[unit]:.{places}f}".rstrip("0").rstrip(".")
    text = "0" if text == "-0" else text
    return f"{text} {unit}" if with_unit else text


def _inches(mm: float, with_unit: bool) -> str:
    inches = mm / MM_PER["in"]
    parts = round(inches * SIXTEENTHS)
    if abs(inches * SIXTEENTHS - parts) > 0.02:
        text = f"{inches:.3f}".rstrip("0").rstrip(".")
        return f"{text} in" if with_unit else text
    return _sixteenths(parts) + ("″" if with_unit else "")


def _sixteenths(parts: int) -> str:
    whole, rest = divmod(abs(parts), SIXTEENTHS)
    words = [str(whole)] if whole or not rest else []
    if rest:
        shared = math.gcd(rest, SIXTEENTHS)
        words.append(f"{rest // shared}/{SIXTEENTHS // shared}")
    return ("-" if parts < 0 else "") + " ".join(words)


def _split(text: str) -> tuple[str, str]:
    plain = text.strip().lower().replace("⁄", "/").replace("−", "-")
    for sign, written in _VULGAR.items():
        plain = plain.replace(sign, f" {written}")
    match = re.fullmatch(r"(?P<number>[-+0-9.,/\s]*)(?P<unit>.*)", plain.strip(), re.DOTALL)
    assert match is not None
    return match["number"].strip(), match["unit"].strip()


def _number(number: str, text: str) -> float:
    match = _NUMBER.fullmatch(number.replace(",", "."))
    if match is None:
        raise UnitError(f'"{text.strip()}" is no length: write for example 2 1/4, 2.25 in, 57 mm or 5,7 cm')
    if match["top"] is None:
        return float(match[0])
    if int(match["bottom"]) == 0:
        raise UnitError(f'"{text.strip()}" divides by nothing: write for example 2 1/4')
    value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return -value if match["sign"] == "-" else value
