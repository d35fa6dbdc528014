"""The paper that a plan means: a whole scrap, or the part of it that was cut down."""

from __future__ import annotations

from shapely.geometry import Polygon

from app.guide.job import Job
from layout.model.parting import cut_apart
from layout.model.plan import CutDown, LaidScrap
from layout.rules.book import posed


def laid_paper(job: Job, laid: LaidScrap) -> Polygon:
    """Return a laid scrap in the plate frame."""
    return posed(sheet_paper(job, laid.scrap, laid.copies[0], laid.part), laid.pose)


def sheet_paper(job: Job, scrap: str, copy: int, part: int | None) -> Polygon:
    """Return a sheet of a scrap, or one part of it, in the scrap's own frame."""
    whole = job.scraps[scrap].outline.polygon
    entry = cut_down_of(job, scrap, copy)
    return whole if part is None or entry is None else cut_apart(whole, entry.cuts)[part]


def cut_down_of(job: Job, scrap: str, copy: int) -> CutDown | None:
    """Return how a sheet is cut down, where it is."""
    return next((c for c in job.plan.cut_downs if (c.scrap, c.copy) == (scrap, copy)), None)
