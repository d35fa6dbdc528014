"""Outlines of all dies on a photo that shows a thing of known size beside them."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from layout.formats.pictures.camera import Camera, Fit
from layout.formats.pictures.ground import Bits, Floats
from layout.formats.pictures.parting import Sizes
from layout.formats.pictures.reference import CARD, SHEETS, Reference, find_card, find_coin
from layout.formats.pictures.scan import Found, outlines_in, shrunk
from layout.formats.pictures.touching import touching
from layout.formats.pictures.traced import Traced
from layout.geometry.outline import Outline, from_polygon
from layout.model.errors import FileError

FINEST = 0.075  # mm: rectified pictures have no smaller pixels
STEP = 16  # pixels between the places where the camera is asked
AROUND = 320.0  # mm: farther from the reference nothing can be measured
BORDER_ERROR = 0.10  # mm: what finding a border adds to the camera's error


@dataclass(frozen=True, slots=True)
class Rectified:
    """The table's plane seen from straight above: square pixels of `mm`, and which of them the photo shows."""

    picture: Bits
    shown: NDArray[np.bool_]
    left: float
    top: float
    mm: float

    def to_plane(self, pixels: NDArray[np.float64]) -> NDArray[np.float64]:
        """Carry pixels of the rectified picture to mm in the plane, y up."""
        return np.column_stack([self.left + (pixels[:, 0] + 0.5) * self.mm, self.top - (pixels[:, 1] + 0.5) * self.mm])


def trace_photo(
    picture: NDArray[np.uint8],
    *,
    coin_diameter: float | None = None,
    ground_sheet: str | None = None,
    edge_above_card: float = 0.0,
) -> Traced:
    """Find every die on a photo (BGR or grey, 8 bit) beside an ID-1 card, a coin of known diameter or on a sheet.

    `edge_above_card` is how much higher (mm) the dies' upper edge stands than the reference's; it is corrected for.
    Raises FileError where the reference is not found.
    """
    photo = shrunk(picture, 1)
    reference = reference_on(photo, coin_diameter, ground_sheet)
    rectified = rectify(photo, reference)
    found = _things(rectified, reference, ground_sheet is not None)
    shapes = [_in_plane(s, rectified) for s in found.shapes]
    shapes = [_lowered(s, reference.fit.camera, edge_above_card) for s in shapes]
    outlines = tuple(from_polygon(s) for s in shapes)
    least = _uncertainty(reference.fit, shapes, rectified.mm)
    errors = tuple(round(least + doubt, 2) for doubt in found.doubts)
    uncertainty = round(least + found.doubt, 2)
    said = (
        found.remarks + touching(outlines, "take the picture again") + _findings(outlines, uncertainty, coin_diameter)
    )
    return Traced(outlines, rectified.mm, said, uncertainty, errors)


def reference_on(photo: Bits, coin: float | None, sheet: str | None) -> Reference:
    """Find the thing that gives a photo its scale; raises FileError where it is not in view."""
    if coin is not None:
        found, name = find_coin(photo, coin), "coin"
    elif sheet is not None:
        found, name = find_card(photo, SHEETS[sheet], sheet=True), f"whole sheet of {sheet.title()} paper"
    else:
        found, name = find_card(photo, CARD), "bank card"
    if found is None:
        raise FileError(
            f"no {name} was found on the photo: lay one flat beside the dies, all of it in view, and take it again"
        )
    return found


def rectify(photo: Bits, reference: Reference) -> Rectified:
    """See the table's plane from straight above, by the camera that the reference gave."""
    camera = reference.fit.camera
    rows, columns = photo.shape[:2]
    rim = np.array([(x, y) for x in np.linspace(0, columns - 1, 9) for y in np.linspace(0, rows - 1, 9)])
    plane = camera.to_plane(rim)
    middle = np.array(reference.size) / 2
    low = np.maximum(plane.min(axis=0), middle - AROUND)
    high = np.minimum(plane.max(axis=0), middle + AROUND)
    mm = max(FINEST, _pixel(camera, middle), float(np.sqrt(np.prod(high - low) / 10e6)))
    wide, tall = (int(v) + 1 for v in (high - low) / mm)
    maps = _maps(camera, low[0], high[1], mm, wide, tall)
    seen = cv2.remap(photo, *maps, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    shown = (maps[0] >= 0) & (maps[1] >= 0) & (maps[0] <= columns - 1) & (maps[1] <= rows - 1)
    return Rectified(np.asarray(seen), shown, float(low[0]), float(high[1]), mm)


def _pixel(camera: Camera, at: NDArray[np.float64]) -> float:
    ends = camera.to_pixels(at + np.array([[-5, 0], [5, 0], [0, -5], [0, 5]]))
    return float(10 / max(np.hypot(*(ends[1] - ends[0])), np.hypot(*(ends[3] - ends[2]))))


def _maps(camera: Camera, left: float, top: float, mm: float, wide: int, tall: int) -> tuple[Floats, Floats]:
    """Return where each rectified pixel lies on the photo: exact every 16 pixels, drawn smoothly between."""
    x = left + (np.arange(-1, wide // STEP + 3) + 0.5) * STEP * mm
    y = top - (np.arange(-1, tall // STEP + 3) + 0.5) * STEP * mm
    nodes = camera.to_pixels(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)).reshape(len(y), len(x), 2)
    full = cv2.resize(nodes, (len(x) * STEP, len(y) * STEP), interpolation=cv2.INTER_LINEAR)
    shown = full[STEP : STEP + tall, STEP : STEP + wide]
    return np.ascontiguousarray(shown[..., 0], np.float32), np.ascontiguousarray(shown[..., 1], np.float32)


def _things(rectified: Rectified, reference: Reference, on_sheet: bool) -> Found:
    """Return the things beside the reference (or on the sheet that is it), in rectified pixels."""
    card = Polygon(reference.fit.camera.to_plane(reference.border)).buffer(0)
    pixels = np.asarray(card.buffer(-2.0 if on_sheet else 1.0).exterior.coords)
    corners = np.column_stack([(pixels[:, 0] - rectified.left), (rectified.top - pixels[:, 1])]) / rectified.mm - 0.5
    area = np.zeros(rectified.shown.shape, np.uint8)
    cv2.fillPoly(area, [np.round(corners).astype(np.int32)], 1)
    usable = rectified.shown & ((area > 0) if on_sheet else (area == 0))
    return outlines_in(rectified.picture, rectified.mm, Sizes(), usable)


def _in_plane(shape: Polygon, rectified: Rectified) -> Polygon:
    def carry(ring: object) -> NDArray[np.float64]:
        return rectified.to_plane(np.asarray(ring)[:, :2])

    return Polygon(carry(shape.exterior.coords), [carry(r.coords) for r in shape.interiors])


def _lowered(shape: Polygon, camera: Camera, height: float) -> Polygon:
    """Undo the outward lean of an edge that stands above the reference's plane (pinhole: x * h / (D - h))."""
    if height == 0.0:
        return shape
    turn = cv2.Rodrigues(camera.values[2:5])[0]
    foot = -(turn.T @ camera.values[5:8])[:2]
    share = 1.0 - height / camera.height

    def carry(ring: object) -> NDArray[np.float64]:
        return foot + (np.asarray(ring)[:, :2] - foot) * share

    return Polygon(carry(shape.exterior.coords), [carry(r.coords) for r in shape.interiors])


def _uncertainty(fit: Fit, shapes: list[Polygon], mm: float) -> float:
    """Return what 95 of 100 such photos keep: the worst die's border error over draws of the camera's spread."""
    rng = np.random.default_rng(0)
    draws = rng.multivariate_normal(fit.camera.values, fit.covariance, 60, check_valid="ignore", method="svd")
    worst = np.zeros(len(draws))
    for shape in shapes:
        ring = np.asarray(shape.exterior.coords)[:: max(1, len(shape.exterior.coords) // 80)]
        pixels = fit.camera.to_pixels(ring)
        for k, values in enumerate(draws):
            worst[k] = max(
                worst[k], _deformed(Camera(values, fit.camera.rows, fit.camera.columns).to_plane(pixels), ring)
            )
    camera = float(np.percentile(worst, 95)) if shapes else 0.0
    return round(float(np.hypot(camera, BORDER_ERROR + 1.5 * mm)), 2)


def _deformed(moved: NDArray[np.float64], ring: NDArray[np.float64]) -> float:
    """Return how far two point rows differ beyond a turn and a move (98th percentile)."""
    a, b = moved - moved.mean(axis=0), ring - ring.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)
    return float(np.percentile(np.hypot(*(a @ u @ v - b).T), 98))


def _findings(outlines: tuple[Outline, ...], uncertainty: float, coin: float | None) -> tuple[str, ...]:
    said = [] if outlines else ["no die was found on the photo: lay them apart on a plain ground of another brightness"]
    if uncertainty > 0.8:
        said.append(
            f"borders may be {uncertainty:.1f} mm off: hold the camera straight above and the card near the dies"
        )
    if coin is not None:
        said.append(_mixed_up(coin))
        said.append("one coin tells little of the camera's tilt: hold it straight above, or lay a bank card instead")
    return tuple(said)


# diameters: US Mint's coin specifications page; Council Reg. (EC) 975/98 and coin lists for the euro
COINS = {
    "US cent": 19.05, "US nickel": 21.21, "US dime": 17.91, "US quarter": 24.26, "US half dollar": 30.61,
    "US dollar": 26.49, "2 euro": 25.75, "1 euro": 23.25, "50 cent": 24.25, "10 cent": 19.75, "5 cent": 21.25,
    "2 cent": 18.75, "1 cent": 16.25,
}  # fmt: skip


def _mixed_up(diameter: float) -> str:
    near = sorted(COINS, key=lambda name: abs(COINS[name] - diameter))[:3]
    likely = ", ".join(f"{name} {COINS[name]:.2f} mm" for name in near)
    return f"the scale rests on a coin of {diameter:.2f} mm: make sure it is that one (near it are {likely})"
