"""The two commands: what they say, what they install, and how they heal."""

from __future__ import annotations

import ast
import base64
import hashlib
import os
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from launching import environment, fetching, lock, needs, system
from launching.environment import BEGUN, STAMP, Environment
from launching.saying import SetupError, spoken

ROOT = Path(__file__).resolve().parents[3]
COMMANDS = ["run.py", "test.py"]
PYTHON_36 = (3, 6)


@pytest.mark.parametrize("command", COMMANDS)
def test_an_old_python_gets_as_far_as_the_sentence(command: str) -> None:
    source = (ROOT / "packaging" / command).read_text("utf-8")
    ast.parse(source, feature_version=PYTHON_36)
    pretend = "import sys; sys.version_info = (3, 9, 2); sys.version = '3.9.2 (old)'; exec(sys.stdin.read())"
    done = subprocess.run([sys.executable, "-c", pretend], input=source, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stderr == "Plateful needs Python 3.11 or newer; this is 3.9.2, start it with a newer one.\n"


@pytest.mark.parametrize("command", COMMANDS)
def test_the_commands_need_nothing_but_the_standard_library(command: str) -> None:
    # -S: no site-packages at all
    line = [sys.executable, "-S", str(ROOT / "packaging" / command), "--help"]
    done = subprocess.run(line, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "usage" in done.stdout


def test_what_is_needed_for_the_check_holds_what_is_needed_to_run() -> None:
    assert set(needs.requirements("run")) < set(needs.requirements("test"))
    assert any(line.startswith("PySide6-Essentials") for line in needs.requirements("run"))


def test_another_requirement_gives_another_fingerprint() -> None:
    assert needs.fingerprint(["a>=1"]) == needs.fingerprint(["a>=1"])
    assert needs.fingerprint(["a>=1"]) != needs.fingerprint(["a>=2"])


def test_libraries_that_cannot_be_loaded_are_missing() -> None:
    assert system.missing_libraries({"libsurelynothere.so.9": "libsurelynothere9"}) == {
        "libsurelynothere.so.9": "libsurelynothere9"
    }


@pytest.mark.skipif(not system.is_linux(), reason="Qt's wheels bring every library here")
def test_libraries_that_can_be_loaded_are_not_missing() -> None:
    assert system.missing_libraries({"libc.so.6": "libc6"}) == {}


@pytest.mark.skipif(not system.is_linux(), reason="Debian packages are for Linux")
def test_without_root_the_very_command_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(system.shutil, "which", lambda _name: "/usr/bin/apt-get")
    with pytest.raises(SetupError, match=r"sudo apt-get install -y libegl1 libgl1$"):
        system.install(["libgl1", "libegl1"])


def test_without_apt_the_libraries_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system.shutil, "which", lambda _name: None)
    with pytest.raises(SetupError, match=r"Plateful needs libEGL\.so\.1; install them"):
        system.install(["libegl1"], ["libEGL.so.1"])


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        # what pip 23.0 prints without a network, shortened
        ("WARNING: Retrying after connection broken by 'NewConnectionError('<...>')'", "connect this machine"),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", "make room"),
        ("ERROR: No matching distribution found for numba>=0.60", "start with another Python"),
        ("ERROR: Something else", "Something else"),
        ("", "it gave no reason"),
    ],
)
def test_pip_failures_are_told_in_one_sentence(said: str, sentence: str, tmp_path: Path) -> None:
    told = fetching.why_pip_failed(said.splitlines(), tmp_path / "log")
    assert sentence in told
    assert "\n" not in told


def test_what_stops_a_start_is_one_line_and_a_code(capsys: pytest.CaptureFixture[str]) -> None:
    def fails() -> int:
        raise PermissionError(13, "Permission denied", "somewhere")

    assert spoken(fails) == 1
    assert capsys.readouterr().err == "This start could not go on: [Errno 13] Permission denied: 'somewhere'.\n"


@pytest.mark.skipif(sys.platform == "win32", reason="the other process is started with a POSIX shell's habits")
def test_a_second_start_waits_for_the_first(tmp_path: Path) -> None:
    holder = "import sys, time; from launching.lock import held\nwith held(__import__('pathlib').Path(sys.argv[1])):\n"
    holder += "    print('held', flush=True); time.sleep(1.0)"
    line = [sys.executable, "-c", holder, str(tmp_path / "lock")]
    variables = {**os.environ, "PYTHONPATH": str(ROOT / "packaging")}
    with subprocess.Popen(line, env=variables, stdout=subprocess.PIPE, text=True) as first:
        assert first.stdout is not None
        assert first.stdout.readline() == "held\n"
        begun = time.monotonic()
        with lock.held(tmp_path / "lock"):
            assert time.monotonic() - begun > 0.4


def test_a_read_only_project_gets_its_environment_in_the_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    filled: list[Path] = []
    monkeypatch.setattr(environment, "_install", lambda place, _kind, _root: filled.append(place.home))
    monkeypatch.setattr(environment, "_user_cache", lambda: tmp_path / "cache")
    monkeypatch.setattr(environment.os, "access", lambda path, _mode: Path(path) != tmp_path)
    (tmp_path / "pyproject.toml").write_text(PYPROJECT, "utf-8")
    environment.ready("run", tmp_path)
    assert [home.parent for home in filled] == [tmp_path / "cache" / "plateful"]


def test_from_nothing_to_ready_to_changed_to_cut_short_to_healed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    project = _project(tmp_path, monkeypatch)
    place, installed = environment.ready("run", project)
    assert installed
    assert _imports(place)
    assert environment.ready("run", project) == (place, False)

    kept = place.home / "kept"
    kept.touch()
    (project / "pyproject.toml").write_text(PYPROJECT.replace("tinypiece", "tinypiece>=1"), "utf-8")
    assert environment.ready("run", project) == (place, True)
    assert kept.exists(), "a changed requirement needs no new environment"

    # Cut short: the mark is there, and a package is only half there, which pip would take for whole.
    (place.home / BEGUN).touch()
    next(place.home.glob("**/tinypiece.py")).unlink()
    assert not _imports(place)
    assert environment.ready("run", project) == (place, True)
    assert _imports(place)


def test_a_spoilt_stamp_counts_as_none(tmp_path: Path) -> None:
    (tmp_path / STAMP).write_text("[", "utf-8")
    assert not Environment(tmp_path).has("run")


PYPROJECT = '[project]\ndependencies = ["tinypiece"]\n[project.optional-dependencies]\ntest = []\n'


def _project(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make a project whose one requirement lies in a folder, so that no network is needed."""
    wheels, project = folder / "wheels", folder / "project"
    wheels.mkdir()
    project.mkdir()
    _write_wheel(wheels)
    (project / "pyproject.toml").write_text(PYPROJECT, "utf-8")
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(wheels))
    return project


def _write_wheel(folder: Path) -> None:
    """Write the smallest package there is, in the binary distribution format of PEP 427."""
    info = "tinypiece-1.0.dist-info"
    files = {
        "tinypiece.py": "SIZE = 1\n",
        f"{info}/METADATA": "Metadata-Version: 2.1\nName: tinypiece\nVersion: 1.0\n",
        f"{info}/WHEEL": "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = [f"{name},sha256={_digest(text)},{len(text)}" for name, text in files.items()]
    files[f"{info}/RECORD"] = "\n".join([*record, f"{info}/RECORD,,", ""])
    with zipfile.ZipFile(folder / "tinypiece-1.0-py3-none-any.whl", "w") as wheel:
        for name, text in files.items():
            wheel.writestr(name, text)


def _digest(text: str) -> str:
    return base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()


def _imports(place: Environment) -> bool:
    return (
        subprocess.run([str(place.python), "-c", "import tinypiece"], capture_output=True, check=False).returncode == 0
    )
