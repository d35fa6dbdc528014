"""What is out of a sheet: of stacked sheets whose holes differ, every hole is shown, and each once."""

from __future__ import annotations

from app.guide.history import Gone, gone_before, layings
from app.guide.job import Job
from app.guide.sheet import A4
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.plan import LaidScrap, Layout, Plan, Punched, Run
from layout.model.project import Paper, Project, Punch, Scrap


def job_of(*punched: Punched) -> tuple[Job, Layout]:
    """Return a guide with one layout: sheets 1 and 2 stacked, then sheet 3 in the same place."""
    dot = Punch("dot", "dot", Outline.rectangle(6.0, 6.0), 20.0)
    project = Project(
        punches=(dot,),
        papers=(Paper("card", "card", layers=2),),
        scraps=(Scrap("strip", "card", Outline.rectangle(80.0, 60.0), 3),),
    )
    runs = tuple(Run((LaidScrap("strip", Pose(5.0, 5.0), copies),), ()) for copies in ((0, 1), (2,)))
    layout = Layout("A", (), runs)
    return Job(project, Plan((layout,), punched), A4), layout


def test_stacked_sheets_show_the_holes_of_all() -> None:
    here, there = Pose(10.0, 10.0), Pose(40.0, 10.0)
    job, layout = job_of(
        Punched("w", "dot", "strip", here, 0),
        Punched("w", "dot", "strip", here, 1),
        Punched("w", "dot", "strip", there, 1),
    )
    laid = layout.runs[0].scraps[0]
    assert gone_before(job, layout, 0, laid) == (Gone("dot", here), Gone("dot", there))
    assert gone_before(job, layout, 1, layout.runs[1].scraps[0]) == ()
    assert layings(job, layout) == [(0,), (1,)]
