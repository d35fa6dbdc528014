"""Reads a picture file: its header first, its pixels only when they are few enough to be held."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from layout.model.errors import FileError

MOST_PIXELS = 160_000_000  # an A4 page at 1200 dpi has 139 million
MOST_SIDE = 32_000  # the resampling behind the tracer counts in 16 bits
KINDS = ("PNG", "JPEG", "TIFF")
LEAST_SIDE = 40


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture (BGR, 8 bit) and the dots per inch that its file states, if it does."""

    pixels: NDArray[np.uint8]
    dpi: float | None


def read_picture(path: Path) -> Picture:
    """Read a PNG, JPEG or TIFF picture, turned as its file says; raises FileError."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=KINDS) as image:
                _refuse_size(path, *image.size)
                dpi = _dpi(image)
                upright = ImageOps.exif_transpose(image)
                return Picture(_pixels(upright), dpi)
    except FileNotFoundError as error:
        raise FileError(f"{path}: there is no such file") from error
    except Image.DecompressionBombError as error:
        raise FileError(f"{path}: the picture has too many pixels to trace: scan at 300 or 600 dpi") from error
    except (UnidentifiedImageError, IsADirectoryError) as error:
        raise FileError(f"{path}: this is no picture that can be read: give a PNG, JPEG or TIFF file") from error
    except MemoryError as error:
        raise FileError(f"{path}: the picture is too large for this computer's memory: scan at 300 dpi") from error
    except PermissionError as error:
        raise FileError(f"{path}: the file may not be read: ask for the right to read it") from error
    except (OSError, SyntaxError, ValueError, EOFError, KeyError, IndexError, TypeError) as error:
        raise FileError(f"{path}: the picture is damaged or cut off: scan or copy it again") from error


def _refuse_size(path: Path, wide: int, tall: int) -> None:
    if wide * tall > MOST_PIXELS or max(wide, tall) > MOST_SIDE:
        raise FileError(f"{path}: the picture is {wide} x {tall} pixels, too large to trace: scan at 300 or 600 dpi")
    if min(wide, tall) < LEAST_SIDE:
        raise FileError(f"{path}: the picture is only {wide} x {tall} pixels, too small to trace: scan at 300 dpi")


def _dpi(image: Image.Image) -> float | None:
    """Return the stated dots per inch; some writers state 1 or 0 where they know none."""
    stated = image.info.get("dpi")
    try:
        across, along = (float(v) for v in stated or ())
    except (TypeError, ValueError):
        return None
    return (across + along) / 2 if 30 <= across <= 4800 and abs(across - along) < 0.02 * across else None


def _pixels(image: Image.Image) -> NDArray[np.uint8]:
    if image.mode.startswith("I") or image.mode == "F":
        levels = np.asarray(image, np.float32)
        top = 65535.0 if levels.max(initial=0) > 255 else 255.0
        return np.repeat((levels / top * 255).clip(0, 255).astype(np.uint8)[..., None], 3, axis=2)
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        clear = image.convert("RGBA")
        white = Image.new("RGBA", clear.size, "white")
        image = Image.alpha_composite(white, clear)
    return np.ascontiguousarray(np.asarray(image.convert("RGB"))[..., ::-1])
