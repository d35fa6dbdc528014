"""Start to usable window, against a bare main window of the same toolkit, alternating in one run.

    python tests/bench/start.py [--rounds 9] [--out start.json] [--once]

"Usable" is the first paint of the window with the demo and its plan drawn; the bare window is usable at its first
paint. Both are fresh processes of this interpreter on the same screen. The ratio of the medians may be 2 at most:
exit code 1 where it is more. `--once` starts each once and judges no time: do they start at all?
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 2.0
PATIENCE = 120.0
BARE = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow

class Bare(QMainWindow):
    said = False

    def paintEvent(self, event):
        super().paintEvent(event)
        if not self.said:
            self.said = True
            QTimer.singleShot(0, lambda: print('ready', flush=True))

application = QApplication(sys.argv)
window = Bare()
window.resize(1200, 800)
window.show()
sys.exit(application.exec())
"""
STARTS = {
    "plateful": [sys.executable, "-m", "app", "--say-when-ready"],
    "bare window": [sys.executable, "-c", BARE],
}


def main() -> int:
    """Measure, print, judge; 0 where the ratio is within the limit."""
    options = _options()
    rounds = 1 if options.once else options.rounds
    seconds = measure(rounds)
    result = summary(seconds)
    print("\n".join(lines(result)))
    if options.out:
        options.out.write_text(json.dumps(result, indent=1), "utf-8")
    return 0 if options.once or result["ratio"] <= LIMIT else 1


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Start to usable window against a bare window of the same toolkit.")
    parser.add_argument("--rounds", type=int, default=9, help="starts of each (default 9)")
    parser.add_argument("--out", type=Path, help="write the figures there as JSON")
    parser.add_argument("--once", action="store_true", help="start each once, judge no time")
    return parser.parse_args()


def measure(rounds: int) -> dict[str, list[float]]:
    """Seconds from start to usable of every start, after one uncounted start of each to fill caches."""
    seconds: dict[str, list[float]] = {name: [] for name in STARTS}
    with tempfile.TemporaryDirectory() as home:
        variables = _fresh_person(home)
        if rounds > 1:
            for command in STARTS.values():
                usable_after(command, variables)
        for _ in range(rounds):
            for name, command in STARTS.items():
                seconds[name].append(usable_after(command, variables))
    return seconds


def usable_after(command: list[str], variables: dict[str, str]) -> float:
    """Start it, wait for its line `ready`, end it; seconds in between. Raises SystemExit where it never comes."""
    begun = time.perf_counter()
    with subprocess.Popen(command, env=variables, cwd=ROOT, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        said = child.stdout.readline().strip()
        took = time.perf_counter() - begun
        child.kill()
    if said != "ready" or took > PATIENCE:
        raise SystemExit(f"{' '.join(command)[:60]} did not get ready; it said {said!r} after {took:.1f} s")
    return took


def summary(seconds: dict[str, list[float]]) -> dict[str, Any]:
    """Medians, their ratio, and what was compared where."""
    medians = {name: statistics.median(values) for name, values in seconds.items()}
    return {
        "what": "seconds from process start to the first paint, fresh processes, alternating",
        "screen": os.environ.get("QT_QPA_PLATFORM") or os.environ.get("DISPLAY") or "the system's",
        "python": platform.python_version(),
        "machine": f"{platform.system()} {platform.machine()}, {os.cpu_count()} cores",
        "seconds": seconds,
        "medians": medians,
        "ratio": medians["plateful"] / medians["bare window"],
        "limit": LIMIT,
    }


def lines(result: dict[str, Any]) -> list[str]:
    """The result for a reader."""
    said = [f"{result['what']} (screen {result['screen']}, Python {result['python']}, {result['machine']})"]
    for name, values in result["seconds"].items():
        said.append(f"  {name:<12} median {result['medians'][name]:.3f} s  of {', '.join(f'{v:.3f}' for v in values)}")
    return [*said, f"  ratio {result['ratio']:.2f}, at most {LIMIT:.0f}"]


def _fresh_person(home: str) -> dict[str, str]:
    """The variables of somebody who never started it: no settings, no last project, so that the demo opens."""
    folders = {f"XDG_{what}_HOME": home for what in ("CONFIG", "DATA", "STATE", "CACHE")}
    # Compiled modules are kept, as on anybody's machine, whatever this shell says and whoever owns the checkout.
    kept = {"PYTHONPYCACHEPREFIX": str(Path(home) / "compiled"), "PYTHONDONTWRITEBYTECODE": ""}
    return {**os.environ, **folders, **kept, "PYTHONPATH": str(ROOT)}


if __name__ == "__main__":
    sys.exit(main())
