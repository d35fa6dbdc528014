"""What lies beside the repository in `../shared`: the independent checker and the cases with known answers.

A bare clone has no such folder: there the tests that need it are skipped, but never where CI is set.
"""

from __future__ import annotations

import contextlib
import importlib.util
import io
import json
import os
from collections import Counter
from functools import lru_cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SHARED = ROOT.parent / "shared"
CHECKER = SHARED / "contract" / "check_plan.py"
CASES = SHARED / "benchmarks" / "cases"


def need(path: Path) -> Path:
    """Return a path that must be there; skip the test where the shared folder is absent, fail in CI."""
    if path.exists():
        return path
    absent = f"{path.name} is not beside this repository (looked in {SHARED})"
    if os.environ.get("CI") == "true":
        pytest.fail(absent)
    pytest.skip(absent)


def case_projects(pattern: str = "*.json") -> list[Path]:
    """Return the project files of the cases, sorted; none where the shared folder is absent."""
    return sorted(p for p in CASES.glob(pattern) if not p.name.endswith(".known.json"))


def known_plan(case: Path) -> Path:
    """Return the path of a case's known plan, which may not exist."""
    return case.with_name(f"{case.stem}.known.json")


@lru_cache(maxsize=1)
def checker() -> ModuleType:
    """Load the independent checker by its path."""
    spec = importlib.util.spec_from_file_location("independent_check_plan", need(CHECKER))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def independent_faults(project: dict[str, Any], plan: dict[str, Any]) -> list[str]:
    """Return the independent checker's faults, one line each."""
    check = checker().Checker(project, plan)
    with contextlib.redirect_stdout(io.StringIO()):
        check.run()
    return list(check.faults)


def independent_made(project: dict[str, Any], plan: dict[str, Any]) -> Counter[str]:
    """Return how many of each wanted piece the independent checker counts."""
    check = checker().Checker(project, plan)
    with contextlib.redirect_stdout(io.StringIO()):
        check.run()
    return check.made


def load(path: Path) -> dict[str, Any]:
    """Return a JSON file's object as plain values."""
    return json.loads(path.read_text(encoding="utf-8"))
