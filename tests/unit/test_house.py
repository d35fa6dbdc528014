"""The house rules that no other tool holds: what may stand where, and what no file may name."""

from __future__ import annotations

import re
import subprocess
from functools import lru_cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "layout", "tests", "resources", "packaging"}
# Each with one letter in brackets, so that this page does not find itself.
MUST_NOT_NAME = {
    "a path of one machine": re.compile(r"(?<![\w.\]])/(roo[t]|hom[e]|wor[k]|User[s])/\w+"),
    "the host of a package registry": re.compile(r"pyp[i]\.org|pythonhoste[d]|de[b]\.debian|registry\.npmj[s]"),
}


@lru_cache(maxsize=1)
def tracked() -> tuple[Path, ...]:
    """Return every file of the repository, relative to its root; without git there is nothing to judge."""
    command = ["git", "-c", "safe.directory=*", "-C", str(ROOT), "ls-files", "-z"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("this is not a git checkout")
    return tuple(Path(name) for name in done.stdout.split("\0") if name and (ROOT / name).is_file())


def test_the_top_level_holds_the_fixed_names_only() -> None:
    names = {file.parts[0] for file in tracked()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_every_folder_of_the_product_is_a_package() -> None:
    folders = {parent for file in tracked() if file.suffix == ".py" for parent in file.parents if parent.parts}
    of_product = {folder for folder in folders if folder.parts[0] in ("app", "layout")}
    assert len(of_product) > 10
    # A folder without it is invisible to the import contracts.
    assert [str(folder) for folder in sorted(of_product) if not (ROOT / folder / "__init__.py").exists()] == []


def test_packaging_does_not_hide_the_library_of_that_name() -> None:
    assert not (ROOT / "packaging" / "__init__.py").exists()


def test_every_benchmark_program_can_be_run_once_untimed() -> None:
    programs = [file for file in tracked() if file.parts[:2] == ("tests", "bench") and file.suffix == ".py"]
    programs = [file for file in programs if not file.name.startswith(("bench_", "__"))]
    assert programs
    assert [str(file) for file in programs if '"--once"' not in (ROOT / file).read_text("utf-8")] == []


@pytest.mark.parametrize("what", MUST_NOT_NAME)
def test_no_file_names(what: str) -> None:
    found = [
        f"{file}:{number}: {line.strip()[:80]}" for file, number, line in _lines() if MUST_NOT_NAME[what].search(line)
    ]
    assert found == []


def test_the_patterns_find_what_they_are_meant_to_find() -> None:
    path, host = MUST_NOT_NAME.values()
    assert path.search("open('/ho" + "me/anna/x')")
    assert not path.search("https://example.test/wo" + "rk/plan")
    assert host.search("https://py" + "pi.org/simple")


def _lines() -> list[tuple[Path, int, str]]:
    found = []
    for file in tracked():
        try:
            text = (ROOT / file).read_text("utf-8")
        except UnicodeDecodeError:
            continue
        found += [(file, number, line) for number, line in enumerate(text.splitlines(), 1)]
    return found
