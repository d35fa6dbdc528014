"""What a new plan does to the one before, in a sentence: passes, missing pieces, what lies elsewhere, what stayed."""

from __future__ import annotations

from collections import Counter

from app.document.edits import HELD
from layout.model.plan import Plan


def what_changed(before: Plan, after: Plan) -> str:
    """Return the sentence, empty where there was no plan before or nothing changed."""
    if not before.layouts or before == after:
        return ""
    told = [_from_to("pass", "passes", before.passes, after.passes)]
    told.append(_from_to("piece missing", "pieces missing", _missing(before), _missing(after)))
    there, now = _dies(before), _dies(after)
    moved = (now - there).total()
    told.append(f"{_number(moved, 'die lies', 'dies lie')} elsewhere" if moved else "every die lies where it lay")
    held, stayed = _held(before), _held(after)
    if stayed:
        told.append(f"{_number(stayed, 'held die', 'held dies')} stayed")
    if held > stayed:
        told.append(f"{_number(held - stayed, 'held die', 'held dies')} may not lie there and went back in the drawer")
    text = "; ".join(part for part in told if part)
    return f"{text[:1].upper()}{text[1:]}."


def _from_to(one: str, many: str, before: int, after: int) -> str:
    if before == after:
        return f"still {_number(after, one, many)}" if after else ""
    return f"{_number(after, one, many)}, before {before}"


def _number(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _missing(plan: Plan) -> int:
    return sum(entry.count for entry in plan.unplaced)


def _held(plan: Plan) -> int:
    return sum(bool(d.extra.get(HELD)) for layout in plan.layouts for d in layout.dies)


def _dies(plan: Plan) -> Counter[object]:
    return Counter((d.die, d.pose) for layout in plan.layouts for d in layout.dies)
