"""What leaves each sheet, pass by pass."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from app.guide.job import Job
from layout.geometry.pose import Pose
from layout.model.plan import LaidScrap, Layout


class Gone(NamedTuple):
    """A piece out of a sheet: the shape's id and its pose in the scrap's frame."""

    shape: str
    pose: Pose


Sheet = tuple[str, int]


def pieces_by_sheet(job: Job) -> dict[Sheet, tuple[Gone, ...]]:
    """Return all that leaves each sheet, by scrap and copy, passes first, handwork after."""
    found = defaultdict(list, {sheet: [gone for _, gone in entries] for sheet, entries in _history(job).items()})
    for entry in (*job.plan.punched, *job.plan.panels):
        shape = entry.punch if hasattr(entry, "punch") else entry.panel
        found[entry.scrap, entry.copy].append(Gone(shape, entry.pose))
    return {sheet: tuple(pieces) for sheet, pieces in found.items()}


def run_pieces(layout: Layout, place: int) -> Iterator[tuple[Sheet, Gone]]:
    """Give what one pass takes out of each sheet."""
    run = layout.runs[place]
    for cut in run.cuts:
        placed, laid = layout.dies[cut.die], run.scraps[cut.scrap]
        for copy in laid.copies:
            yield (laid.scrap, copy), Gone(placed.die, placed.pose.seen_from(laid.pose))


def gone_before(job: Job, layout: Layout, place: int, laid: LaidScrap) -> tuple[Gone, ...]:
    """Return what is out of laid sheets already: punched by hand before all passes, or cut in earlier ones.

    Of stacked sheets all holes count, for each of them is seen from one side or the other.
    """
    if "history" not in job.kept:
        job.kept["history"] = _history(job)
    sheets = [(laid.scrap, copy) for copy in laid.copies]
    entries = [entry for sheet in sheets for entry in job.kept["history"].get(sheet, ())]
    punched = [(0, Gone(p.punch, p.pose)) for p in job.plan.punched if (p.scrap, p.copy) in sheets]
    before = (gone for number, gone in [*punched, *entries] if number < job.runs[layout.id, place])
    return tuple(dict.fromkeys(before))


def _history(job: Job) -> dict[Sheet, list[tuple[int, Gone]]]:
    found: dict[Sheet, list[tuple[int, Gone]]] = defaultdict(list)
    for layout in job.plan.layouts:
        for place in range(len(layout.runs)):
            for sheet, gone in run_pieces(layout, place):
                found[sheet].append((job.runs[layout.id, place], gone))
    return found


def layings(job: Job, layout: Layout) -> list[tuple[int, ...]]:
    """Group a layout's runs (by place) that look alike on the plate: they share one page."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, run in enumerate(layout.runs):
        papers = tuple((s.scrap, s.part, s.pose, len(s.copies), gone_before(job, layout, place, s)) for s in run.scraps)
        groups.setdefault((papers, tuple((c.die, c.scrap) for c in run.cuts)), []).append(place)
    return [tuple(places) for places in groups.values()]
