"""The blade under the rollers drawn along the plate: how far it sticks out is how much is pressed there."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from app.guide.ink import GREY, Ink
from app.guide.job import Job
from app.guide.sheet import Box
from layout.model.plan import Layout
from layout.rules.rollers import Floats, Peak, Profile, run_profile

STEP = 1.0


def profile_of(job: Job, layout: Layout, place: int) -> Profile:
    """Return the profile of one pass, worked out once for passes with the same dies."""
    run = layout.runs[place]
    key = ("profile", layout.id, tuple(sorted({cut.die for cut in run.cuts})))
    if key not in job.kept:
        job.kept[key] = run_profile(job.dies, layout, run)
    made: Profile = job.kept[key]
    return made


def peak_of(job: Job, layout: Layout, place: int) -> float:
    """Return the peak of one pass (mm of blade)."""
    return worked_out(profile_of(job, layout, place), job.project.machine.bed_length)[1].length


def highest(job: Job) -> float:
    """Return the highest peak of all passes (mm of blade), to draw them all at one scale."""
    if "highest" not in job.kept:
        passes = [(layout, place) for layout in job.plan.layouts for place in range(len(layout.runs))]
        job.kept["highest"] = max((peak_of(job, *one) for one in passes), default=0.0)
    most: float = job.kept["highest"]
    return most


def paint_curve(ink: Ink, box: Box, profile: Profile, bed_length: float, most: float) -> None:
    """Draw a profile upright in a box whose height is the bed's length; a load of `most` mm fills its width."""
    if most <= 0.0 or bed_length <= 0.0:
        return
    (middles, loads), peak = worked_out(profile, bed_length)
    across, along = box.width / most, box.height / bed_length
    points = np.column_stack((box.x + loads * across, box.bottom - middles * along))
    ink.ring(np.vstack(([box.x, box.bottom], points, [box.x, box.y])), 0.12, fill=GREY)
    ink.line([(box.x, box.bottom), (box.x, box.y)], 0.25)
    y = min(max(box.bottom - peak.at * along, box.y), box.bottom)
    ink.line([(box.x, y), (box.x + peak.length * across, y)], 0.3)


@lru_cache(maxsize=256)
def worked_out(profile: Profile, bed_length: float) -> tuple[tuple[Floats, Floats], Peak]:
    """Return a profile's curve along the bed, and its peak: passes with the same dies share it."""
    return profile.curve(0.0, bed_length, STEP), profile.peak()
