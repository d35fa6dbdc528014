"""pip as a child process: its words kept in a log, its failures told in one sentence."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from launching.saying import SetupError

OFFLINE = ("NewConnectionError", "NameResolutionError", "ConnectTimeoutError", "ProxyError", "Network is unreachable")


def fetch(python: Path, requirements: list[str], log: Path) -> None:
    """Install the requirements with the environment's pip; raises SetupError saying why it could not."""
    # Ready builds only: a bare machine has no compiler, and a build from source fails there with pages of words.
    command = [str(python), "-m", "pip", "install", "--only-binary=:all:", "--no-user", "--no-input"]
    command += ["--disable-pip-version-check", "--progress-bar=off", *requirements]
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, close_fds=False
    ) as pip:
        assert pip.stdout is not None
        lines = []
        for raw in pip.stdout:
            lines.append(raw.decode(errors="replace").rstrip())
            _show(lines[-1])
    _show("")
    log.write_text("\n".join(lines), "utf-8")
    if pip.returncode:
        raise SetupError(why_pip_failed(lines, log))


def why_pip_failed(lines: list[str], log: Path) -> str:
    """Read pip's words and say for a person what to do about them."""
    text = "\n".join(lines)
    if any(sign in text for sign in OFFLINE):
        return (
            "Plateful's libraries cannot be fetched, the package index is out of reach: "
            "connect this machine to the network and start again."
        )
    if "No space left on device" in text:
        return f"Plateful's libraries need about 1 GB, more than there is for {log.parent}: make room and start again."
    said = [line.removeprefix("ERROR: ") for line in lines if line.startswith("ERROR:")] or ["it gave no reason"]
    if "No matching distribution found" in text:
        version = ".".join(map(str, sys.version_info[:2]))
        return f"There is no ready build for Python {version} on this machine ({said[-1]}): start with another Python."
    return f"pip could not install Plateful's libraries ({said[-1]}); all it said is in {log}."


def _show(line: str) -> None:
    """On a terminal, one line that keeps changing; elsewhere nothing, logs need no ticking."""
    if not sys.stdout.isatty():
        return
    words = line.split()
    name = words[1] if words[:1] == ["Collecting"] else ""
    if name or words[:1] == ["Installing"] or not line:
        shown = f"  fetching {name}" if name else ("  unpacking" if line else "")
        print(f"\r{shown:<60}", end="" if line else "\r", flush=True)
