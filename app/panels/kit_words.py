"""How the kits stand, in words: done, left, to fetch, packing, time, and what can be made of what is there."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

from app.panels.words import count, paper_name, piece_name
from layout.geometry.units import MM_PER, Unit, format_sides
from layout.model.plan import Plan
from layout.model.project import Project
from layout.planning.kits import Gap, gaps, lines, pack_list, seconds_left, to_fetch, whole_kits

if TYPE_CHECKING:
    from app.planner.counting import Answer

MINUTE = 60.0
HEADS = ("Piece", "A kit", "Ready", "Left", "No place yet")


def head_words(project: Project) -> str:
    """Say how many kits can be packed."""
    ready = whole_kits(project)
    if not project.wanted:
        return "The project wants no piece yet"
    return f"{ready} of {count(project.kits, 'kit')} can be packed" if ready else "No kit can be packed yet"


def rows(project: Project, plan: Plan) -> list[tuple[str, str, str, str, str]]:
    """Return how each piece stands, as cells under HEADS."""
    return [
        (
            piece_name(project, line.wanted),
            str(line.wanted.count),
            f"{line.ready} of {line.asked}",
            str(line.left),
            str(line.missing) if line.missing else "–",
        )
        for line in lines(project, plan)
    ]


def fetch_words(project: Project, plan: Plan) -> str:
    """Say what the passes to come ask for: sheets, dies, punches."""
    fetch = to_fetch(plan)
    scraps = {s.id: str(s.extra.get("name") or s.id) for s in project.scraps}
    dies = {d.id: d.name for d in project.dies}
    punches = {p.id: p.name for p in project.punches}
    sheets: Counter[str] = Counter()
    for scrap, number in fetch.sheets:
        sheets[scraps.get(scrap, scrap)] += number  # what is left of a sheet keeps its name
    told = [_several(n, name) for name, n in sheets.items()]
    tools = [_several(n, dies.get(d, d)) for d, n in fetch.dies] + [punches.get(p, p) for p in fetch.punches]
    if not told:
        return "Nothing: no pass is still to be made."
    # Names of pieces and papers may have commas of their own.
    return f"Paper: {'; '.join(told)}.\nDies and punches: {'; '.join(tools) or 'none'}."


def pack_words(project: Project) -> str:
    """Say what goes into one kit."""
    packed = [f"{n} × {piece_name(project, w)}" for w, n in pack_list(project)]
    return "; ".join(packed) + "." if packed else "Nothing is wanted yet."


def time_words(project: Project, plan: Plan, earlier: tuple[Gap, ...] = ()) -> str:
    """Say how long the passes to come take at her own pace, and from what that is known."""
    passes = plan.passes
    if not passes:
        return "No pass is left."
    here = gaps(project.done.runs)
    seconds = seconds_left(project, plan, (*earlier, *here))
    left = f"{count(passes, 'pass', 'passes')} left"
    if seconds is None:
        return f"{left}; tick two passes off, and your pace tells how long they take."
    pace = _duration(seconds / passes)
    return f"{left}, about {_duration(seconds)}: {pace} each, as {_learned(len(here), len(earlier))}."


def _learned(here: int, earlier: int) -> str:
    """Say between which ticks the time was taken."""
    told = [f"{count(here, 'pass', 'passes')} here"] * bool(here)
    told += [f"{count(earlier, 'pass', 'passes')} of earlier projects"] * bool(earlier)
    return " and ".join(told) + " took"


def answer_words(project: Project, answer: Answer, unit: Unit) -> str:
    """Say what can be made, what is short for the kits asked, and which sheets would cure it."""
    head = f"{count(answer.kits, 'kit')} can be made of what is here"
    if answer.kits == answer.most:
        head += "; more is impossible"
    told = [head + "."]
    names = {w.id: w for w in project.wanted}
    for wanted, missing, needs, why in answer.short:
        if wanted in names:
            told.append(_short(project, names[wanted].paper, piece_name(project, names[wanted]), missing, needs, unit))
        else:
            told.append(why)
    if answer.short:
        told.insert(1, f"For {count(answer.asked, 'kit')} there is still missing:")
    for paper, sides, sheets, least in answer.cures:
        more = f"{count(sheets, 'more sheet')} of {paper_name(project, paper)}, {sides_words(sides, unit)}, would do"
        told.append(more + ("; fewer would not." if sheets == least else "."))
    for paper in answer.incurable:
        told.append(f"How many sheets of {paper_name(project, paper)} would do was not found.")
    return "\n".join(told)


def _short(project: Project, paper: str | None, name: str, missing: int, needs: tuple[float, float], unit: Unit) -> str:
    least = least_words(needs, unit)
    return f"{missing} × {name}: {paper_name(project, paper)}, each piece of paper at least {least}."


def least_words(sides: tuple[float, float], unit: Unit) -> str:
    """Write sides rounded up to what a ruler shows."""
    return sides_words(_no_less(sides, unit), unit)


def sides_words(sides: tuple[float, float], unit: Unit) -> str:
    """Write two sides in the person's unit."""
    return format_sides(*sides, unit)


def _no_less(sides: tuple[float, float], unit: Unit) -> tuple[float, float]:
    """Round up to what a ruler shows: sixteenths of an inch, or millimetres."""
    step = MM_PER["in"] / 16 if unit == "in" else 1.0
    width, length = (math.ceil(side / step - 1e-6) * step for side in sides)
    return width, length


def _several(number: int, name: str) -> str:
    return name if number == 1 else f"{number} × {name}"


def _duration(seconds: float) -> str:
    minutes = max(1, round(seconds / MINUTE))
    hours, rest = divmod(minutes, 60)
    if not hours:
        return count(minutes, "minute")
    return f"{count(hours, 'hour')} {count(rest, 'minute')}" if rest else count(hours, "hour")
