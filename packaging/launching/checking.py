"""The second command: every check of the project, in the order in which a failure costs least time."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from collections.abc import Callable

from launching import environment, probe, virtual_screen
from launching.environment import Environment
from launching.needs import ROOT
from launching.saying import say, spoken

Step = Callable[[Environment, list[str]], int]
NO_TESTS = 5  # pytest's exit code where nothing was collected


def main() -> int:
    """Read the command line and do as it says; 0 when every check passed."""
    return spoken(lambda: _run(_options()))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="test.py", description="Install what is missing, then check the project.")
    parts = ", ".join(STEPS)
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"only these: {parts} (default: all)")
    parser.add_argument("--pytest", default="", metavar="WORDS", help="more words for pytest, e.g. '-k clearance -x'")
    options = parser.parse_args()
    unknown = set(options.parts) - set(STEPS)
    if unknown:
        parser.error(f"there is no part called {', '.join(sorted(unknown))}; the parts are {parts}")
    return options


def _run(options: argparse.Namespace) -> int:
    place, _ = environment.ready("test")
    probe.prepare_libraries(on_screen=False)
    chosen = [name for name in STEPS if name in options.parts or not options.parts]
    failed = [name for name in chosen if not _passes(name, place, options.pytest.split())]
    if failed:
        say(f"Failed: {', '.join(failed)}. Run one part again with: python3 packaging/test.py {failed[0]}")
    return 1 if failed else 0


def _passes(name: str, place: Environment, words: list[str]) -> bool:
    say(f"--- {name}: {STEPS[name].__doc__}")
    begun = time.monotonic()
    code = STEPS[name](place, words)
    # The last part is pytest, whose own closing line shall be the last thing to read.
    if name != LAST or code:
        say(f"--- {name}: {'passed' if not code else 'FAILED'} in {time.monotonic() - begun:.0f} s")
    return code == 0


def _lint(place: Environment, _words: list[str]) -> int:
    """ruff, rules and layout."""
    return _tool(place, "ruff", "check", ".") or _tool(place, "ruff", "format", "--check", ".")


def _types(place: Environment, _words: list[str]) -> int:
    """mypy, strict for the engine."""
    return _tool(place, "mypy")


def _contracts(place: Environment, _words: list[str]) -> int:
    """which floor may look at which."""
    return _call([str(place.python.parent / "lint-imports")], place.variables())


def _engine(place: Environment, words: list[str]) -> int:
    """the engine's tests, with Qt out of reach."""
    blocked = place.variables()
    # Modules of that name that refuse to be imported: they stand in the way in child processes as well.
    blocked["PYTHONPATH"] = os.pathsep.join([str(ROOT / "tests" / "support" / "without_qt"), blocked["PYTHONPATH"]])
    return _pytest(place, blocked, ["-p", "no:pytest-qt", "-n", "2", "tests/unit/layout", *words])


def _bench(place: Environment, words: list[str]) -> int:
    """every benchmark once, untimed: do they still run and still get their answers right."""
    with virtual_screen.screen() as shown:
        variables = place.variables() | shown
        files = sorted(str(file.relative_to(ROOT)) for file in (ROOT / "tests" / "bench").glob("bench_*.py"))
        measured = [_pytest(place, variables, ["--benchmark-disable", *files, *words])] if files else []
        failed = [name for name in _bench_programs() if _tool(place, name, "--once", variables=variables)]
    for name in failed:
        say(f"python -m {name} --once failed")
    return 1 if any(measured) or failed else 0


def _window(place: Environment, words: list[str]) -> int:
    """all other tests: the window on a real screen server, the house, the two commands."""
    with virtual_screen.screen() as shown:
        return _pytest(place, place.variables() | shown, ["tests/unit", "--ignore=tests/unit/layout", *words])


STEPS: dict[str, Step] = {
    "lint": _lint,
    "types": _types,
    "contracts": _contracts,
    "bench": _bench,
    "engine": _engine,
    "window": _window,
}
LAST = "window"


def _bench_programs() -> list[str]:
    """The benchmarks that are programs of their own, by the name under which `python -m` finds them."""
    files = sorted((ROOT / "tests" / "bench").glob("*.py"))
    return [f"tests.bench.{file.stem}" for file in files if not file.name.startswith(("bench_", "__"))]


def _tool(place: Environment, module: str, *words: str, variables: dict[str, str] | None = None) -> int:
    return _call([str(place.python), "-m", module, *words], variables or place.variables())


def _pytest(place: Environment, variables: dict[str, str], words: list[str]) -> int:
    code = _call([str(place.python), "-m", "pytest", "-q", "--durations=8", "--durations-min=5", *words], variables)
    return 0 if code == NO_TESTS and "-k" in words else code


def _call(command: list[str], variables: dict[str, str]) -> int:
    sys.stdout.flush()
    return subprocess.run(command, env=variables, cwd=ROOT, stdin=subprocess.DEVNULL, check=False).returncode
