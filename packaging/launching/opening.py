"""The first command: everything in place, then the window, or without a screen the demo's plan, guide and picture."""

from __future__ import annotations

import argparse
import subprocess
from pathlib import Path

from launching import environment, menu, probe, system
from launching.environment import Environment
from launching.needs import ROOT
from launching.saying import SetupError, say, spoken

DEMO = ROOT / "resources" / "demo" / "night-garden.json"
PLANNED = (0, 3)  # exit codes: every piece, or some are missing


def main() -> int:
    """Read the command line and do as it says; 0 when all went well."""
    return spoken(lambda: _run(_options()))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="run.py", description="Make what Plateful needs, then open it.")
    parser.add_argument("project", nargs="?", type=Path, help="a project file (default: the last one, or the demo)")
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="no window: write plan, guide and picture there")
    parser.add_argument("--prepare", action="store_true", help="only install what is missing")
    parser.add_argument("--menu", choices=("add", "remove"), help="put Plateful into the desktop's menu, or out of it")
    return parser.parse_args()


def _run(options: argparse.Namespace) -> int:
    wants_window = options.out is None
    on_screen = wants_window and system.has_screen()
    place, new = prepare(on_screen=on_screen)
    if options.menu:
        menu.add() if options.menu == "add" else menu.remove()
        return 0
    if new:
        _warm_up(place, wait=options.prepare or not on_screen)
    if options.prepare:
        say(f"All is in place in {place.home}.")
        return 0
    if on_screen and _shown(place, options.project):
        return 0
    if wants_window:
        say("There is no screen here, so no window opens; the demo is written as files instead.")
    return write_files(place, (options.project or DEMO).resolve(), (options.out or Path("plateful-demo")).resolve())


def prepare(*, on_screen: bool) -> tuple[Environment, bool]:
    """Install what is missing; after any installation, see in a child process that Qt really starts.

    Returns the environment, and whether it is a new or a changed one.
    """
    new_libraries = probe.prepare_libraries(on_screen=on_screen)
    place, new_environment = environment.ready("run")
    if new_libraries or new_environment:
        probe.opens_window(place, on_screen=on_screen)
    return place, new_environment


def _warm_up(place: Environment, *, wait: bool) -> None:
    """Plan the demo once for nothing: the engine compiles its loops then, and the first real plan need not wait.

    The window opens meanwhile, since the demo comes with a plan; without one it is waited for.
    """
    out = str(place.home / "warm-up.plan.json")
    command = [str(place.python), "-m", "layout", "plan", str(DEMO), "--out", out, "--seconds", "1"]
    quiet = subprocess.DEVNULL
    warming = subprocess.Popen(command, env=place.variables(), cwd=ROOT, stdin=quiet, stdout=quiet, stderr=quiet)
    if wait:
        say("Making the planner ready (once; about a minute).")
        warming.wait()


def _shown(place: Environment, project: Path | None) -> bool:
    """Show the window until it is closed; False where there is no screen after all. Raises SetupError."""
    command = [str(place.python), "-m", "app", *([str(project.resolve())] if project else [])]
    code = _wait(subprocess.Popen(command, env=place.variables(), cwd=ROOT))
    if code and not probe.opens_window(place, on_screen=True):
        return False
    if code:
        raise SetupError(f"The window closed with an error (code {code}).")
    return True


def _wait(window: subprocess.Popen[bytes]) -> int:
    """Wait to the end; Ctrl-C reaches the window too, which then closes in its own way and without an error."""
    try:
        return window.wait()
    except KeyboardInterrupt:
        window.wait()
        return 0


def write_files(place: Environment, project: Path, folder: Path) -> int:
    """Plan the project and write plan, guide and a picture of the plate into the folder; the planner's exit code."""
    folder.mkdir(parents=True, exist_ok=True)
    plan = folder / f"{project.stem}.plan.json"
    guide = folder / f"{project.stem}-guide.pdf"
    picture = folder / f"{project.stem}-plate.png"
    code = _call(place, "layout", "plan", str(project), "--out", str(plan))
    if code not in PLANNED:
        return code
    for what, file in (("guide", guide), ("picture", picture)):
        written = _call(place, "app", what, str(project), str(plan), "--out", str(file))
        if written not in PLANNED:
            return written
    say(f"Written into {folder}:\n  {plan.name}     the plan\n  {guide.name}    where to tape each die, at true size")
    say(f"  {picture.name}    the plate as the window shows it")
    return code


def _call(place: Environment, module: str, *words: str) -> int:
    command = [str(place.python), "-m", module, *words]
    done = subprocess.run(command, env=probe.without_screen(place), cwd=ROOT, stdin=subprocess.DEVNULL, check=False)
    return done.returncode
