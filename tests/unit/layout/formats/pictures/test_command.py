"""The headless command: what it writes, and that it refuses in one sentence and writes nothing."""

from __future__ import annotations

import json
import struct
import time
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from layout.__main__ import main
from tests.support.picture_maker import Look, scan

LOOK = Look(ground=(50, 50, 50), metal=160, shadow=0.2)


@pytest.fixture(scope="module")
def scanned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = scan(np.random.default_rng(3), width=60, height=50, count=1, look=LOOK)
    path = tmp_path_factory.mktemp("scans") / "dies.png"
    Image.fromarray(made.pixels[..., ::-1]).save(path, dpi=(300, 300))
    return path


def test_the_files_own_dpi_is_used_and_outlines_are_written(scanned: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.json"
    assert main(["trace", str(scanned), "--out", str(out)]) == 0
    written = json.loads(out.read_text())
    assert set(written) == {"outlines", "unit_mm", "findings", "uncertainty_mm", "errors_mm"}
    assert written["unit_mm"] == pytest.approx(25.4 / 300, rel=1e-3)
    assert len(written["outlines"]) == 1
    assert set(written["outlines"][0]) == {"outer", "holes"}


@pytest.mark.parametrize("kind", ["bomb", "black", "words", "torn", "missing", "no scale", "no card"])
def test_bad_pictures_end_in_one_sentence(
    kind: str, scanned: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, more = bad_picture(kind, scanned, tmp_path)
    out = tmp_path / "out.json"
    begun = time.process_time()
    assert main(["trace", str(path), *more, "--out", str(out)]) == 2
    assert time.process_time() - begun < 20
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert str(path) in said
    assert "Traceback" not in said
    assert not out.exists()


def bad_picture(kind: str, scanned: Path, folder: Path) -> tuple[Path, list[str]]:
    path = folder / "bad.png"
    if kind == "bomb":
        path.write_bytes(bomb())
    elif kind == "black":
        cv2.imwrite(str(path), np.zeros((800, 900, 3), np.uint8))
    elif kind == "words":
        path.write_text("no picture at all " * 50)
    elif kind == "torn":
        path.write_bytes(scanned.read_bytes()[:30_000])
    elif kind in ("no scale", "no card"):
        cv2.imwrite(str(path), cv2.imread(str(scanned)))
    return path, {"no scale": [], "no card": ["--card"]}.get(kind, ["--dpi", "300"])


def bomb() -> bytes:
    """A PNG of a few hundred bytes that declares 60 000 x 60 000 pixels (PNG specification: IHDR, IDAT, IEND)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(100_000))) + chunk(b"IEND", b"")
