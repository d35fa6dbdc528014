"""Numbers and names as they stand in a sentence for a person."""

from __future__ import annotations

import math

from layout.model.naming import set_off

_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def number(n: int) -> str:
    """Write a count as a word up to twelve, as figures beyond."""
    return _SMALL[n] if 0 <= n < len(_SMALL) else str(n)


def counted(n: int, noun: str) -> str:
    """Write a count with its noun, an s added where there is not one of it."""
    return f"{number(n)} {noun}{'' if n == 1 else 's'}"


def mm(length: float) -> str:
    """Write a length with at most one decimal, without its unit: '64', '64.5'."""
    text = f"{length:.1f}"
    return text[:-2] if text.endswith(".0") else text


def no_less(length: float) -> float:
    """Round a length up to the tenth that is printed, so that what is said to do does."""
    return math.ceil(length * 10.0 - 1e-6) / 10.0


def size(width: float, length: float) -> str:
    """Write two sides as '64 × 41 mm'."""
    return f"{mm(width)} × {mm(length)} mm"


def cm2(area: float) -> str:
    """Write an area given in square mm as square cm."""
    return f"{area / 100.0:.1f} cm²"


def tool(name: str, kind: str) -> str:
    """Name a tool by its kind, once: 'moth' and 'moth die' both give 'moth die'."""
    return set_off(name) if name.lower().endswith(kind) else f"{set_off(name)} {kind}"


def piece(name: str, kind: str) -> str:
    """Name what a tool makes: 'moth die' gives 'moth'."""
    bare = name[: -len(kind)].rstrip() if name.lower().endswith(kind) else name
    return set_off(bare or name)


def listed(names: list[str]) -> str:
    """Join names as 'a, b and c'."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
