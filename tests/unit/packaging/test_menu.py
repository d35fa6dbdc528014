"""The desktop's menu entry, and what the shipped desktop files say."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest

from launching import menu, system

ROOT = Path(__file__).resolve().parents[3]
SHIPPED = ROOT / "packaging"

pytestmark = pytest.mark.skipif(not system.is_linux(), reason="the desktop standards are for Linux")


def test_the_entry_starts_this_folder_and_goes_without_a_trace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    menu.add()
    entry = (tmp_path / "applications" / "plateful.desktop").read_text("utf-8")
    line = next(line for line in entry.splitlines() if line.startswith("Exec="))
    assert shlex.split(line.removeprefix("Exec=")) == [sys.executable, str(SHIPPED / "run.py"), "%f"]
    assert (tmp_path / "icons/hicolor/scalable/apps/plateful.svg").exists()
    menu.remove()
    assert [file for file in tmp_path.rglob("*") if "plateful" in file.name] == []


def test_a_folder_with_odd_signs_is_quoted_as_the_standard_asks() -> None:
    # Desktop Entry Specification 1.5, 'The Exec key': reserved signs escaped inside quotes, a percent sign doubled,
    # and backslashes doubled once more because the value is a string.
    assert menu._quoted("/a b/$c/100%") == '"/a b/\\\\$c/100%%"'


@pytest.mark.skipif(not shutil.which("desktop-file-validate"), reason="desktop-file-validate is not installed")
def test_the_desktop_entry_keeps_to_the_standard() -> None:
    _validates(["desktop-file-validate", str(SHIPPED / "plateful.desktop")])


@pytest.mark.skipif(not shutil.which("appstreamcli"), reason="appstreamcli is not installed")
def test_the_catalogue_entry_keeps_to_the_standard() -> None:
    _validates(["appstreamcli", "validate", "--no-net", "--pedantic", str(SHIPPED / "plateful.metainfo.xml")])


@pytest.mark.skipif(not shutil.which("update-mime-database"), reason="update-mime-database is not installed")
def test_the_file_type_is_taken_into_the_database(tmp_path: Path) -> None:
    (tmp_path / "packages").mkdir()
    shutil.copy(SHIPPED / "plateful.mime.xml", tmp_path / "packages")
    _validates(["update-mime-database", str(tmp_path)])
    assert "application/vnd.plateful.project+json" in (tmp_path / "types").read_text("utf-8").splitlines()


def test_entry_catalogue_and_file_type_name_the_same_things() -> None:
    entry = (SHIPPED / "plateful.desktop").read_text("utf-8")
    catalogue = ElementTree.parse(SHIPPED / "plateful.metainfo.xml").getroot()
    kind = ElementTree.parse(SHIPPED / "plateful.mime.xml").getroot()[0].attrib["type"]
    assert f"MimeType={kind};" in entry
    assert catalogue.findtext("provides/mediatype") == kind
    assert catalogue.findtext("launchable") == "plateful.desktop"


def test_the_newest_release_is_told_in_all_three_places() -> None:
    version = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    release = ElementTree.parse(SHIPPED / "plateful.metainfo.xml").getroot().find("releases/release")
    assert release is not None
    told = re.search(r"## What has changed\s+### (\S+)", (ROOT / "README.md").read_text("utf-8"))
    assert told is not None
    assert [release.attrib["version"], told[1]] == [version, version]


def _validates(command: list[str]) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
