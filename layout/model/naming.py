"""Names that people gave, in sentences."""

from __future__ import annotations


def set_off(name: str) -> str:
    """Return a name in quotes where it has a comma, which would break the sentence it stands in."""
    return f"“{name}”" if "," in name else name
