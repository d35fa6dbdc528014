"""What the project needs from Python's package index, and the fingerprint that tells whether that changed."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path
from typing import Literal

ROOT = Path(__file__).resolve().parents[2]
Kind = Literal["run", "test"]


def requirements(kind: Kind, root: Path = ROOT) -> list[str]:
    """The requirement lines of pyproject.toml: `run` alone, or `test`, which holds `run` too."""
    project = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))["project"]
    more = project["optional-dependencies"]["test"] if kind == "test" else []
    return sorted([*project["dependencies"], *more])


def fingerprint(lines: list[str]) -> str:
    """A short name for these lines: another one means that something changed."""
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:16]
