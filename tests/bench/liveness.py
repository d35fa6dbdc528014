"""The window stays live while the planner runs at full load on every core.

    python -m tests.bench.liveness [--seconds 20] [--full] [--once]

Starts the window's own planner on the demo with more kits than a plan is soon proven for, lets a timer of 5 ms tick in
the window's event loop, and drags a die through it meanwhile. Judged: no gap of more than 50 ms between two ticks, from
the start of planning to its end. `--full` takes 60 passes of 40 dies over 12 sheets for 60 kits instead of the demo.
`--once` takes a second and judges only that ticks came.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer
from PySide6.QtWidgets import QApplication

from layout.geometry.value import replace

LIMIT_MS = 50.0
TICK_MS = 5
KITS = 12
FULL_LAYOUTS, FULL_RUNS = 20, 3


class Watch:
    """Notes the gaps between the ticks of a timer, and moves a die at every third."""

    def __init__(self, window) -> None:
        self.window, self.gaps, self.moves = window, [], 0
        self._last, self._used = time.perf_counter(), time.thread_time()
        self.own: list[float] = []
        self._timer = QTimer(window, interval=TICK_MS, timerType=Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._tick)
        self._timer.start()

    def _tick(self) -> None:
        now, used = time.perf_counter(), time.thread_time()
        self.gaps.append((now - self._last) * 1000)
        self.own.append((used - self._used) * 1000)
        self._last, self._used = now, used
        canvas = self.window.canvas
        if len(self.gaps) % 3 == 0 and canvas.gesture is not None:
            self.moves += 1
            send(canvas, QEvent.Type.MouseMove, self._start + QPointF(self.moves * 7 % 160 - 80, self.moves % 90 - 45))
        elif canvas.gesture is None and canvas.scene.dies and len(self.gaps) % 40 == 0:
            self._start = canvas.viewing.to_screen(canvas.scene.dies[0].body.pointAtPercent(0.0))
            send(canvas, QEvent.Type.MouseButtonPress, self._start)


def main() -> int:
    """Plan, watch, print, judge."""
    from app.start import live_on

    options = _options()
    app = QApplication.instance() or QApplication(sys.argv[:1])
    window = _window(full=options.full)
    window.show()
    live_on(window)
    app.processEvents()
    _until(app, 1.0)
    window.planning.runner.seconds = 1.0 if options.once else options.seconds
    watch = Watch(window)
    window.planning.start()
    while window.planning.running:
        app.processEvents()
        time.sleep(0.0005)
    gaps = sorted(watch.gaps[1:])
    late = sum(gap > LIMIT_MS for gap in gaps)
    kits = window.document.project.kits
    print(f"{len(gaps)} ticks, {watch.moves} mouse moves while planning {kits} kits, {os.cpu_count()} cores")
    print(
        f"gaps: median {gaps[len(gaps) // 2]:.1f} ms, 99 % {gaps[int(len(gaps) * 0.99)]:.1f} ms, longest {gaps[-1]:.1f}"
    )
    own = sorted(watch.own[1:])
    print(f"{late} longer than {LIMIT_MS:.0f} ms")
    print(f"of which the window's own computing: 99 % {own[int(len(own) * 0.99)]:.1f} ms, most {own[-1]:.1f} ms")
    window.planning.drop()
    return int(not gaps) if options.once else int(late > 0)


def send(canvas, kind: QEvent.Type, at: QPointF) -> None:
    """Send a mouse event of the left button to the plate."""
    from PySide6.QtGui import QMouseEvent

    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    button = none if kind == QEvent.Type.MouseMove else left
    event = QMouseEvent(kind, at, canvas.mapToGlobal(at), button, left, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(canvas, event)


def _until(app: QApplication, seconds: float) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        app.processEvents()


def _window(*, full: bool = False):
    from app.document.files import read_state
    from app.document.state import State
    from app.settings import Settings
    from app.start import DEMO
    from app.window import Window

    window = Window(Settings(Path(tempfile.mkdtemp())))
    window.resize(1340, 860)
    state = read_state(DEMO)
    window.document.start_with(_full_state() if full else State(replace(state.project, kits=KITS), state.plan), None)
    return window


def _full_state():
    """Return a plan of 20 layouts of 40 dies, each run three times, over 12 stacks of sheets."""
    from app.document.state import State
    from layout.model.plan import Plan
    from tests.support.desk import grid

    project, plan = grid(8, 5, corners=300, sheets=12)
    layout, passes = plan.layouts[0], FULL_LAYOUTS * FULL_RUNS
    runs = [
        replace(layout.runs[0], scraps=tuple(replace(s, copies=(number,)) for s in layout.runs[0].scraps))
        for number in range(passes)
    ]
    layouts = tuple(
        replace(layout, id=f"L{k + 1}", runs=tuple(runs[k * FULL_RUNS : (k + 1) * FULL_RUNS]))
        for k in range(FULL_LAYOUTS)
    )
    scraps = tuple(replace(s, count=passes) for s in project.scraps)
    return State(replace(project, kits=passes, scraps=scraps), Plan(layouts, lower_bound=passes))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--full", action="store_true")
    parser.add_argument("--once", action="store_true")
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
