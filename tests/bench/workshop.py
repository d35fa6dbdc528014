"""How quick a full workshop is: open it, search it, load a thing. `python -m tests.bench.workshop [--once]`.

2,000 dies of 300 corners, 5,000 scraps, 500 projects; the aim is 100 ms for opening and for every search.
"""

from __future__ import annotations

import argparse
import math
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.project import Die, Scrap
from layout.workshop import Workshop, open_workshop
from tests.support.simple_plans import simple_project

DIES, SCRAPS, PROJECTS, CORNERS = 2000, 5000, 500, 300
WORDS = ("leaf", "moon", "moth", "star", "label", "flower", "frame", "tag")
AIM = 100.0  # ms


def main() -> None:
    """Fill a workshop, measure it, and assert what it finds."""
    once = _once()
    share = 20 if once else 1
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fill(folder, share)
        times = measure(folder, share, 1 if once else 7)
    for what, took in times.items():
        print(f"{what:32} median {statistics.median(took):6.1f} ms, most {max(took):6.1f} ms, aim {AIM:.0f} ms")


def _once() -> bool:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--once", action="store_true", help="run once with a twentieth of the things, untimed")
    return bool(parser.parse_args().once)


def fill(folder: Path, share: int) -> None:
    """Put the things into a workshop, one transaction for all."""
    with open_workshop(folder) as shop:
        with shop.base.writing() as work:
            for k in range(DIES // share):
                shop.put_in(work, die(k), f"die-{k}", note=f"drawer {k % 40}")
            for k in range(SCRAPS // share):
                shop.put_in(work, Scrap(f"scrap {k}", ("moss", "cream")[k % 2], Outline.rectangle(80, 60)), f"s-{k}")
        for k in range(PROJECTS // share):
            shop.know(replace(simple_project(), name=f"boxes {k}"), folder / f"{k}.json")
        shop.base.back_up()


def die(k: int) -> Die:
    """Return a wavy round die."""
    ring = [((20 + math.sin(7 * t)) * math.cos(t), (20 + math.sin(7 * t)) * math.sin(t)) for t in angles()]
    name = f"{WORDS[k % len(WORDS)]} {k}"
    return Die(f"d{k}", name, Outline.of([(1.1 * x, 1.1 * y) for x, y in ring]), Outline.of(ring))


def angles() -> list[float]:
    """Return evenly spread angles, in radians."""
    return [2 * math.pi * k / CORNERS for k in range(CORNERS)]


def measure(folder: Path, share: int, times: int) -> dict[str, list[float]]:
    """Return how many milliseconds each took, each time."""
    took: dict[str, list[float]] = {}

    def timed(what: str, does: Callable[[], int], expected: int) -> None:
        begun = time.perf_counter()
        found = does()
        took.setdefault(what, []).append(1000 * (time.perf_counter() - begun))
        assert found == expected, (what, found, expected)

    for _ in range(times):
        timed("open", lambda: _opened(folder), 1)
        with open_workshop(folder) as shop:
            _ask(shop, timed, share)
    (folder / "workshop.seal").unlink()
    timed("open after a crash, checked", lambda: _opened(folder), 1)
    return took


def _ask(shop: Workshop, timed: Callable[[str, Callable[[], int], int], None], share: int) -> None:
    dies, scraps = DIES // share, SCRAPS // share
    timed("all dies as rows", lambda: len(shop.things("die", limit=-1)), dies)
    timed("all scraps as rows", lambda: len(shop.things("scrap", limit=-1)), scraps)
    timed(
        "search two words",
        lambda: len(shop.things(search="moth drawer", limit=-1)),
        sum(k % len(WORDS) == 2 for k in range(dies)),
    )
    timed("search, nothing found", lambda: len(shop.things(search="no such thing")), 0)
    timed("search projects", lambda: len(shop.projects("boxes", limit=-1)), PROJECTS // share)
    timed("load one die", lambda: len(shop.load("die-7").cut.outer), CORNERS)


def _opened(folder: Path) -> int:
    with open_workshop(folder) as shop:
        assert shop.notices == ()
        return len(shop.things(limit=1))


if __name__ == "__main__":
    main()
