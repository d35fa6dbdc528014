"""The project's own Python environment: found, made, healed, and known by its stamp to need nothing."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from launching import fetching, needs, system
from launching.lock import held
from launching.needs import Kind
from launching.saying import SetupError, say

BEGUN = "plateful-installing"
STAMP = "plateful-installed.json"
LOCK = "plateful.lock"


@dataclass(frozen=True)
class Environment:
    """A virtual environment at `home`."""

    home: Path

    @property
    def python(self) -> Path:
        """Its interpreter."""
        return self.home / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")

    def has(self, kind: Kind, root: Path = needs.ROOT) -> bool:
        """Whether all that `kind` needs was installed to the end here, for this Python."""
        if not self.python.exists() or (self.home / BEGUN).exists():
            return False
        return _stamps(self.home).get(kind) == self.stamp(kind, root)

    def stamp(self, kind: Kind, root: Path) -> str:
        """What is noted once all is installed: the requirements, and the Python behind the environment.

        The latter is the link's end, which changes where the system's Python is replaced by its successor.
        """
        return needs.fingerprint([*needs.requirements(kind, root), str(self.python.resolve())])

    def variables(self) -> dict[str, str]:
        """What a child process gets as its environment: the project importable from any folder."""
        paths = [str(needs.ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
        return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}


def ready(kind: Kind, root: Path = needs.ROOT) -> tuple[Environment, bool]:
    """The environment with all that `kind` needs, and whether something had to be installed; raises SetupError."""
    for home in homes(root):
        if Environment(home).has(kind, root):
            return Environment(home), False
    environment = Environment(next(home for home in homes(root) if _writable(home)))
    environment.home.mkdir(parents=True, exist_ok=True)
    with held(environment.home / LOCK):
        if not environment.has(kind, root):
            _install(environment, kind, root)
    return environment, True


def homes(root: Path) -> list[Path]:
    """Where the environment may live: in the project's folder, or, where that is read-only, in the user's cache."""
    name = needs.fingerprint([str(root)])
    return [root / ".venv", _user_cache() / "plateful" / name]


def _user_cache() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


def _writable(home: Path) -> bool:
    """Whether this user can fill the folder, which need not exist yet. The last of `homes` is tried in any case."""
    existing = next(p for p in (home, *home.parents) if p.exists())
    return os.access(existing, os.W_OK) or home.name != ".venv"


def _install(environment: Environment, kind: Kind, root: Path) -> None:
    lines = needs.requirements(kind, root)
    begun = environment.home / BEGUN
    if begun.exists():
        say("An earlier installation was cut short; it begins afresh.")
    if begun.exists() or not _sound(environment):
        _make(environment)
    # The mark stays when this is cut short, even by kill -9 or a power cut; half a package may look whole to pip.
    begun.touch()
    say(f"Installing {len(lines)} libraries and what they need into {environment.home} (once; a few minutes).")
    fetching.fetch(environment.python, lines, environment.home / "plateful-pip.log")
    _write_stamp(environment, kind, root)
    begun.unlink()


def _make(environment: Environment) -> None:
    for child in environment.home.iterdir():
        if child.name != LOCK:
            shutil.rmtree(child) if child.is_dir() and not child.is_symlink() else child.unlink()
    system.install(system.missing_python_parts())
    (environment.home / BEGUN).touch()
    command = [sys.executable, "-m", "venv", str(environment.home)]
    made = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, close_fds=False
    )
    if made.returncode:
        reason = (made.stderr or made.stdout).strip().splitlines()[-1:] or ["it said nothing"]
        raise SetupError(f"Python could not make an environment in {environment.home} ({reason[0]}).")


def _sound(environment: Environment) -> bool:
    """Whether there is an environment with pip and a Python that is new enough, whichever made it."""
    if not environment.python.exists():
        return False
    probe = "import pip, sys; print(sys.version_info >= (3, 11))"
    command = [str(environment.python), "-c", probe]
    answer = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    return answer.stdout.strip() == "True"


def _stamps(home: Path) -> dict[str, str]:
    try:
        found = json.loads((home / STAMP).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _write_stamp(environment: Environment, kind: Kind, root: Path) -> None:
    """Note what is in place; `test` holds all of `run`, while a new `run` leaves an old `test` wanting."""
    kinds: tuple[Kind, ...] = ("run", "test") if kind == "test" else ("run",)
    stamps = _stamps(environment.home) | {k: environment.stamp(k, root) for k in kinds}
    (environment.home / STAMP).write_text(json.dumps(stamps), "utf-8")
