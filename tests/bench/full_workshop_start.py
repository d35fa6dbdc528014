"""Start of the program with a full workshop against an empty one, in turn in one run.

    python -m tests.bench.full_workshop_start [--rounds 7] [--once]

The full one holds 2,000 dies, 5,000 scraps, 500 projects. `ready` is the first paint, `finished` when the workshop
was met and the window does all it can. Fresh processes on the same screen; the ratio of the medians may be 1.3 at
most: exit code 1 where one is more. `--once` starts each once with a twentieth of the things and judges no time.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from layout.workshop import open_workshop
from tests.bench.start import PATIENCE, ROOT
from tests.bench.workshop import fill

LIMIT = 1.3
STEPS = ("ready", "finished")
CHILD = """
import os
import sys
from app.start import SAY_WHEN_READY, run_window
from app.window import Window

finish = Window.finish

def told(self):
    finish(self)
    assert self.keeper.begun
    print('finished', flush=True)
    self.keeper.close()  # as a person who leaves: the next start need not read the workshop through
    os._exit(0)

Window.finish = told
sys.exit(run_window([SAY_WHEN_READY]))
"""


def main() -> int:
    """Measure, print, judge; 0 where both ratios are within the limit."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7, help="starts of each (default 7)")
    parser.add_argument("--once", action="store_true", help="start each once, judge no time")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        homes = {kind: Path(name) / kind for kind in ("empty", "full")}
        for home in homes.values():
            (home / "compiled").mkdir(parents=True)
        open_workshop(homes["empty"] / "plateful").close()
        fill(homes["full"] / "plateful", 20 if options.once else 1)
        seconds = measure(homes, 1 if options.once else options.rounds)
    ratios = [told(step, {kind: took[step] for kind, took in seconds.items()}) for step in STEPS]
    return 0 if options.once or max(ratios) <= LIMIT else 1


def measure(homes: dict[str, Path], rounds: int) -> dict[str, dict[str, list[float]]]:
    """Return the seconds to each step of every start, after one start of each that is not counted."""
    seconds: dict[str, dict[str, list[float]]] = {kind: {step: [] for step in STEPS} for kind in homes}
    for number in range(rounds + (rounds > 1)):
        for kind, home in homes.items():
            took = steps_of(home)
            if number or rounds == 1:
                for step in STEPS:
                    seconds[kind][step].append(took[step])
    return seconds


def steps_of(home: Path) -> dict[str, float]:
    """Start the program with a home of its own; returns the seconds to each step."""
    kept = {"PYTHONPYCACHEPREFIX": str(home.parent / "compiled"), "PYTHONDONTWRITEBYTECODE": ""}
    variables = {**os.environ, **kept, "PLATEFUL_HOME": str(home / "plateful"), "PYTHONPATH": str(ROOT)}
    begun = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-c", CHILD], env=variables, cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        took = {}
        for step in STEPS:
            said = child.stdout.readline().strip()
            took[step] = time.perf_counter() - begun
            assert said == step, said
            assert took[step] < PATIENCE
    return took


def told(step: str, seconds: dict[str, list[float]]) -> float:
    """Print what one step took; returns the ratio."""
    medians = {kind: statistics.median(took) for kind, took in seconds.items()}
    ratio = medians["full"] / medians["empty"]
    for kind, took in seconds.items():
        print(f"{step:9} {kind:6} median {medians[kind]:.3f} s  of {', '.join(f'{t:.3f}' for t in took)}")
    print(f"{step:9} ratio {ratio:.2f}, at most {LIMIT}")
    return ratio


if __name__ == "__main__":
    sys.exit(main())
