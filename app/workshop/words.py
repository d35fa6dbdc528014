"""What the workshop says of a thing: its kind, size and number; and how its fields are written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from app.panels.words import count
from layout.geometry.units import Unit, format_sides
from layout.geometry.value import replace
from layout.model.project import Scrap

if TYPE_CHECKING:
    from layout.workshop import KnownProject, Thing

# Order of the leaves; each with what one is called.
KINDS = (
    ("die", "Dies"),
    ("punch", "Punches"),
    ("panel", "Blanks"),
    ("machine", "Machines"),
    ("paper", "Papers"),
    ("scrap", "Scraps"),
    ("spare", "Spares"),
)
ONE = {"die": "die", "punch": "punch", "panel": "blank", "machine": "machine", "paper": "paper", "scrap": "scrap"}
COUNTED = {"die": "owned", "scrap": "sheets", "spare": "in the tin"}


def told(thing: Thing, unit: Unit) -> str:
    """Say kind, size and number of a thing in a line."""
    parts = [ONE.get(thing.kind, thing.kind)]
    if thing.size and thing.kind not in ("paper",) and max(thing.size) > 0:
        parts.append(size(thing.size, unit))
    if thing.paper and thing.kind in ("scrap", "spare"):
        parts.append(thing.paper)
    if thing.count != 1 and thing.kind in COUNTED:
        parts.append(f"{thing.count} {COUNTED[thing.kind]}")
    return " · ".join(parts)


def told_project(project: KnownProject) -> str:
    """Say how a project stands in a line."""
    parts = [count(project.kits, "kit")]
    if project.done:
        parts.append(f"{project.done} done")
    if project.due:
        parts.append(f"{count(project.due, 'piece')} due")
    return " · ".join(parts)


def size(sides: tuple[float, float], unit: Unit) -> str:
    """Write two sides in the person's unit."""
    return format_sides(*sides, unit)


def renamed(model: Any, name: str) -> Any:
    """Return a die, paper, scrap… under another name."""
    if isinstance(model, Scrap):
        return replace(model, extra={**model.extra, "name": name})
    return replace(model, name=name)


def tags_of(text: str) -> tuple[str, ...]:
    """Read tags written with commas between them."""
    return tuple(dict.fromkeys(tag for part in text.split(",") if (tag := " ".join(part.split()))))


def found_words(found: int, most: int, search: str) -> str:
    """Say how much was found."""
    if not found:
        return f"Nothing is called “{search}” here." if search else ""
    return f"The first {most}; write more of the name." if found >= most else count(found, "thing")
