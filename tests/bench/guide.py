"""How long a large guide takes and how large its PDF is: 12 layouts, 60 passes that all look different.

`python -m tests.bench.guide` measures; with `--once` two layouts are made once, only to see that it still works. The
limits (3 s, 2 MB) are the project's own. Either way the PDF is read back: a page for each pass must be in it.
"""

from __future__ import annotations

import copy
import io
import json
import os
import sys
import time
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from pypdf import PdfReader
from PySide6.QtGui import QGuiApplication

from app.guide.book import guide_pages
from app.guide.job import Job
from app.guide.pdf import pdf_bytes
from app.guide.sheet import A4
from layout.formats.plan_file import parse_plan
from layout.formats.project_file import parse_project
from tests.support.shared import CASES, load

SECONDS, BYTES = 3.0, 2_000_000
CASE = CASES / "scraps-12-3-11.json"
RUNS = 5


def large(plan: dict[str, Any], layouts: int = 12) -> dict[str, Any]:
    """Return layouts of five passes each; every pass lays its own sheets, each a little differently."""
    first = plan["layouts"][0]
    made = []
    for number in range(layouts):
        layout = {"id": f"L{number + 1}", "dies": first["dies"], "runs": []}
        for place in range(RUNS):
            run = copy.deepcopy(first["runs"][0])
            for laid in run["scraps"]:
                laid["pose"]["x"] += 0.01 * (number * RUNS + place)
                laid["copies"] = [number * RUNS + place]
            layout["runs"].append(run)
        made.append(layout)
    return {**plan, "layouts": made, "passes": layouts * RUNS, "proven": False}


def large_job(layouts: int) -> Job:
    """Return the guide to be made."""
    project = load(CASE)
    for scrap in project["scraps"]:
        scrap["count"] = layouts * RUNS
    plan = large(load(CASE.with_name(f"{CASE.stem}.known.json")), layouts)
    return Job(
        parse_project(json.dumps(project).encode(), "project"), parse_plan(json.dumps(plan).encode(), "plan"), A4
    )


def measure(layouts: int = 12) -> tuple[float, float, bytes]:
    """Return seconds on the clock and of the processor, and the PDF."""
    job = large_job(layouts)
    start = time.perf_counter(), time.process_time()
    data = pdf_bytes(job, guide_pages(job))
    return time.perf_counter() - start[0], time.process_time() - start[1], data


def main(words: list[str]) -> int:
    """Measure and say what was found; return 1 where the PDF is wrong or too large."""
    if not CASE.exists():
        print(f"{CASE.name} is not beside this repository: nothing to measure")
        return 0
    application = QGuiApplication.instance() or QGuiApplication([])
    layouts = 2 if "--once" in words else 12
    seconds, busy, data = measure(layouts)
    plates = sum("BLADES" in page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)
    print(f"{layouts * RUNS} passes in {seconds:.2f} s, {busy:.2f} s of processor (limit {SECONDS})")
    print(f"{len(data) / 1e6:.2f} MB (limit {BYTES / 1e6}), {plates} plate pages")
    del application
    return 0 if plates == layouts * RUNS and len(data) <= BYTES else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
