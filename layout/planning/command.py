"""The headless planner: a project file in, the best plan found in time out."""

from __future__ import annotations

import argparse
import json
import os
import signal
import sys
import threading
import time
from pathlib import Path
from typing import Any

from layout.formats.plan_file import plan_bytes, read_plan, write_plan
from layout.formats.project_file import read_project
from layout.model.errors import PlatefulError
from layout.model.flat_profiles import with_flat
from layout.model.plan import Plan
from layout.model.project import Project
from layout.planning.planner import STOPPED, Limits, make_plan

COMPLETE, UNREADABLE, PARTIAL = 0, 2, 3


def add_parser(commands: Any) -> None:
    """Add `plan` to the subcommands of the headless program."""
    parser = commands.add_parser("plan", help="find the fewest passes for a project and write the plan")
    parser.add_argument("project", type=Path, help="the project file")
    parser.add_argument("--out", type=Path, required=True, help="where the plan is written")
    parser.add_argument("--seconds", type=float, default=10.0, help="how long to look for a better plan (10)")
    parser.add_argument("--seed", type=int, default=0, help="another seed tries other ways (0)")
    parser.add_argument("--stream", action="store_true", help="print one JSON object for every better plan")
    add_leash(parser)
    parser.add_argument("--hold", type=Path, help="a plan whose parts marked as held stay where they are")
    parser.add_argument("--flat", action="store_true", help="among equal plans prefer a low peak under the rollers")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Plan, write and say what was found; returns the exit code of the contract."""
    begun = time.monotonic()
    try:
        project = read_project(args.project)
        project = with_flat(project, True) if args.flat else project
        hold = read_plan(args.hold) if args.hold else None
        limits = Limits(seconds=max(0.05, args.seconds), seed=args.seed, hold=hold)
        listen_for_stop(limits, args.until_input_ends)
        teller = Teller(project, begun) if args.stream else None
        plan = make_plan(project, limits, teller.better if teller else lambda _: None)
        write_plan(plan, args.out)
    except PlatefulError as fault:
        print(fault, file=sys.stderr)
        return UNREADABLE
    print(teller.line("done", plan) if teller else in_words(project, plan), flush=True)
    return PARTIAL if plan.unplaced else COMPLETE


class Teller:
    """Prints plans as lines of JSON for a program that listens."""

    def __init__(self, project: Project, begun: float) -> None:
        self.project, self.begun = project, begun

    def better(self, plan: Plan) -> None:
        """Print a better plan as soon as it is found."""
        print(self.line("better", plan), flush=True)

    def line(self, event: str, plan: Plan) -> str:
        """One line of JSON with the plan in it."""
        return json.dumps(
            {
                "event": event,
                "seconds": round(time.monotonic() - self.begun, 3),
                "passes": plan.passes,
                "layouts": len(plan.layouts),
                "missing": sum(u.count for u in plan.unplaced),
                "lower_bound": plan.lower_bound,
                "proven": plan.proven,
                "because": plan.because,
                "plan": json.loads(plan_bytes(plan)),
            }
        )


def add_leash(parser: argparse.ArgumentParser) -> None:
    """Add the option for a program that holds the other end of standard input: only it may end the search so.

    Without it an empty input (a service's, a script's) says nothing.
    """
    parser.add_argument("--until-input-ends", action="store_true", help="keep the best once standard input ends")


def listen_for_stop(limits: Limits, leashed: bool) -> None:
    """Let Ctrl-C, or the end of standard input where that is asked for, stop the search and keep the best."""

    def stop(*_: object) -> None:
        limits.stop[0] = STOPPED

    signal.signal(signal.SIGINT, stop)
    signal.signal(signal.SIGTERM, stop)
    if leashed:
        threading.Thread(target=_until_closed, args=(stop,), daemon=True).start()


def _until_closed(stop: Any) -> None:
    try:
        # Past the buffer, because a thread that waits in it makes the interpreter abort when it ends.
        while os.read(sys.stdin.fileno(), 4096):
            pass
    except (OSError, ValueError):
        return
    stop()


def in_words(project: Project, plan: Plan) -> str:
    """Say in a few lines what a plan found."""
    missing = sum(u.count for u in plan.unplaced)
    names = {w.id: w.shape for w in project.wanted}
    lines = [f"{_many(plan.passes, 'pass', 'passes')}, {_many(len(plan.layouts), 'layout', 'layouts')} to tape down"]
    if plan.proven:
        lines.append(f"fewer passes are impossible: {plan.because}")
    else:
        lines.append(f"fewer than {plan.lower_bound} are impossible: {plan.because}")
    if missing:
        lines.append(f"{_many(missing, 'piece is', 'pieces are')} missing:")
    lines += [f"  {u.count} × {names.get(u.wanted, u.wanted)}: {u.reason}" for u in plan.unplaced]
    return "\n".join(lines)


def _many(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"
