"""How long a large guide takes and how large its PDF is: 12 layouts, 60 passes that all look different.

Run it by `python -m tests.bench.guide`; the limits (3 s, 2 MB) are the project's own.
"""

from __future__ import annotations

import copy
import os
import time
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

SECONDS, BYTES = 3.0, 2_000_000


def large(plan: dict[str, Any]) -> dict[str, Any]:
    """Return twelve layouts of five passes each; every pass lays its scraps a little differently."""
    first = plan["layouts"][0]
    layouts = []
    for number in range(12):
        layout = {"id": f"L{number + 1}", "dies": first["dies"], "runs": []}
        for place in range(5):
            run = copy.deepcopy(first["runs"][0])
            for laid in run["scraps"]:
                laid["pose"]["x"] += 0.01 * (number * 5 + place)
                laid["copies"] = [number * 5 + place]
            layout["runs"].append(run)
        layouts.append(layout)
    return {**plan, "layouts": layouts, "passes": 60, "proven": False}


def measure() -> tuple[float, float, int, int]:
    """Return seconds on the clock and of the processor, bytes and pages of the guide for the large plan."""
    import json

    from PySide6.QtGui import QGuiApplication

    from app.guide.book import guide_pages
    from app.guide.job import Job
    from app.guide.pdf import pdf_bytes
    from app.guide.sheet import A4
    from layout.formats.plan_file import parse_plan
    from layout.formats.project_file import parse_project
    from tests.support.shared import CASES, load, need

    application = QGuiApplication.instance() or QGuiApplication([])
    case = need(CASES / "scraps-12-3-11.json")
    known = load(case)
    for scrap in known["scraps"]:
        scrap["count"] = 60
    project = parse_project(json.dumps(known).encode(), case.name)
    plan = parse_plan(json.dumps(large(load(case.with_name("scraps-12-3-11.known.json")))).encode(), "large")
    job = Job(project, plan, A4)
    start = time.perf_counter(), time.process_time()
    pages = guide_pages(job)
    data = pdf_bytes(job, pages)
    del application
    return time.perf_counter() - start[0], time.process_time() - start[1], len(data), len(pages)


if __name__ == "__main__":
    seconds, busy, size, pages = measure()
    print(f"{pages} pages in {seconds:.2f} s, {busy:.2f} s of processor (limit {SECONDS})")
    print(f"{size / 1e6:.2f} MB (limit {BYTES / 1e6})")
