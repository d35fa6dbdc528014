"""SVG drawings in: every shape as true curves in mm, y up, whatever its units, view boxes and transforms."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from layout.formats.contours import Chain, TooMuchError, carry_chain
from layout.formats.drawing_units import UNITS
from layout.formats.imported import Imported, drawing_bytes, imported
from layout.formats.reading import one_line
from layout.formats.safe_xml import Element, XmlError, parse_xml
from layout.formats.svg_path import (
    PathError,
    SubPath,
    ellipse_path,
    parse_path,
    parse_points,
    parse_transform,
    polyline_path,
    rectangle_path,
)
from layout.formats.svg_style import Style, StyleSheet, hidden, inherited
from layout.geometry.curve import IDENTITY, Line, Matrix, chain
from layout.geometry.outline import OutlineError
from layout.model.errors import FileError

GUESSES = {"96 per inch": 25.4 / 96, "90 per inch": 25.4 / 90, "72 per inch": 25.4 / 72, "mm": 1.0, "in": 25.4}
"""What a unit of a drawing without units may be: the CSS pixel, two older conventions, and plain lengths."""
MOST_SHAPES = 60_000
MOST_USES = 20
_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([a-zA-Z%]*)\s*")
_UNSEEN = {"defs", "clipPath", "mask", "pattern", "marker", "symbol", "metadata", "title", "desc", "style"}
_UNUSED = {"text": "text", "image": "pictures", "foreignObject": "foreign objects", "script": "scripts"}


def read_svg(path: Path, unit_mm: float | None = None) -> Imported:
    """Read an SVG file. `unit_mm`: what one unit of its outer view box is (None: what the file says).

    Where the file does not say its unit either, the result's `unit_mm` is None and `likely` holds the sizes
    to ask about. Raises FileError.
    """
    return parse_svg(drawing_bytes(path), str(path), unit_mm)


def parse_svg(data: bytes, name: str, unit_mm: float | None = None) -> Imported:
    """Read the bytes of an SVG file called `name`; raises FileError."""
    name = one_line(name)
    try:
        if data[:2] == b"\x1f\x8b":
            raise XmlError("it is compressed; save it as plain SVG")
        root = parse_xml(data)
        if root.name != "svg":
            raise XmlError(f"it is no SVG drawing: it starts with '{root.name}'")
        return _imported(root, unit_mm)
    except (XmlError, PathError, TooMuchError, OutlineError) as error:
        raise FileError(one_line(f"{name}: {error}")) from error


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the reader is: the map to the root's frame, what is inherited, and the viewport for percentages."""

    matrix: Matrix
    style: Style
    width: float
    height: float
    uses: int = 0


@dataclass(slots=True)
class _Reader:
    sheet: StyleSheet
    by_id: dict[str, Element]
    page: tuple[float, float]
    chains: list[Chain] = field(default_factory=list)
    unpainted: list[Chain] = field(default_factory=list)
    grounds: list[Chain] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    seen: int = 0

    def read(self, element: Element, at: _Place) -> None:
        self.seen += 1
        if self.seen > MOST_SHAPES:
            raise TooMuchError(f"it draws more than {MOST_SHAPES:,} shapes; export the shapes alone")
        if element.name in _UNSEEN:
            return
        if element.name in _UNUSED:
            self.left_out[_UNUSED[element.name]] += 1
            return
        own = self.sheet.of(element)
        if hidden(own):
            self.left_out["hidden parts"] += 1
            return
        try:
            self._open(element, self.inside(element, own, at))
        except PathError as error:
            self.findings.append(f"line {element.line}: {element.name} was left out: {error}")

    def inside(self, element: Element, own: dict[str, str], at: _Place) -> _Place:
        self.left_out["clippings"] += any(own.get(k, "none") != "none" for k in ("clip-path", "mask"))
        said = own.get("transform", element.get("transform"))  # a declaration replaces the attribute
        if said and said != "none" and "transform-origin" in own | element.attributes:
            self.findings.append(f"line {element.line}: its transform-origin was passed over; check where it lies")
        moved = chain(at.matrix, parse_transform(re.sub(r"(px|deg)\b", "", "" if said == "none" else said)))
        return _Place(moved, inherited(at.style, own), at.width, at.height, at.uses)

    def _open(self, element: Element, at: _Place) -> None:
        if element.name in ("g", "a"):
            self.children(element, at)
        elif element.name == "switch":
            for child in [c for c in element.children if _fits(c)][:1]:
                self.read(child, at)
        elif element.name == "svg":
            self.children(element, self._viewport(element, at, element.get("width"), element.get("height")))
        elif element.name == "use":
            self._use(element, at)
        elif element.name in _SHAPES:
            self._shape(element, at)

    def children(self, element: Element, at: _Place) -> None:
        for child in element.children:
            self.read(child, at)

    def _use(self, element: Element, at: _Place) -> None:
        target = element.get("href")
        if not target.startswith("#"):
            self.left_out["links to other files"] += 1
            return
        meant = self.by_id.get(target[1:])
        if meant is None or at.uses >= MOST_USES:
            self.findings.append(
                f"line {element.line}: '{target}' is not in the drawing, or uses itself; it was left out"
            )
            return
        x, y = _length(element, "x", at.width), _length(element, "y", at.height)
        moved = _Place(chain(at.matrix, (1.0, 0.0, 0.0, 1.0, x, y)), at.style, at.width, at.height, at.uses + 1)
        if meant.name not in ("symbol", "svg"):
            self.read(meant, moved)
            return
        own = self.sheet.of(meant)
        if hidden(own) and meant.name == "svg":
            self.left_out["hidden parts"] += 1
            return
        width, height = (element.get(k) or meant.get(k) for k in ("width", "height"))
        self.children(meant, self._viewport(meant, self.inside(meant, own, moved), width, height))

    def _viewport(self, element: Element, at: _Place, width: str, height: str) -> _Place:
        """Enter an inner `svg` or a `symbol`."""
        w = _number(width, at.width) if width else at.width
        h = _number(height, at.height) if height else at.height
        x, y = _length(element, "x", at.width), _length(element, "y", at.height)
        box = view_box(element)
        inner = chain((1.0, 0.0, 0.0, 1.0, x, y), fit_box(box, w, h, element.get("preserveAspectRatio")))
        size = (box[2], box[3]) if box else (w, h)
        return _Place(chain(at.matrix, inner), at.style, *size, at.uses)

    def _shape(self, element: Element, at: _Place) -> None:
        paths = _SHAPES[element.name](element, at)
        if not at.style.visible:
            self.left_out["hidden parts"] += bool(paths)
            return
        fills = at.style.filled and element.name != "line"
        made = [carry_chain(at.matrix, Chain(tuple(p.segments), p.closed, fills)) for p in paths]
        if not fills and not at.style.stroked and not self.sheet.unread:
            self.unpainted += made
        elif at.style.white and fills and not at.style.stroked and len(made) == 1 and self._covers_page(made[0]):
            self.grounds += made
        else:
            self.chains += made

    def _covers_page(self, chain: Chain) -> bool:
        """Tell a rectangle that covers the whole page, or more: paper is often drawn as one."""
        corners = {s.start for s in chain.segments}
        xs, ys = {round(p[0], 6) for p in corners}, {round(p[1], 6) for p in corners}
        width, height = self.page
        return (
            len(corners) == 4 and len(xs) == len(ys) == 2 and all(isinstance(s, Line) for s in chain.segments)
            and max(xs) - min(xs) >= 0.999 * width and max(ys) - min(ys) >= 0.999 * height
        )  # fmt: skip

    def drawn(self) -> list[Chain]:
        """Return what can be seen on the page; where nothing can, what is there nevertheless."""
        for kind, words in (
            (self.unpainted, "shapes without fill and stroke"),
            (self.grounds, "the page's white ground"),
        ):
            if self.chains and kind:
                self.findings.append(f"{words} left out: {len(kind)}")
            elif kind:
                self.chains = kind
        return self.chains


def _fits(element: Element) -> bool:
    """Tell whether a child of a `switch` is one that this reader can show (SVG 1.1, section 5.8)."""
    shown = element.name in _SHAPES or element.name in ("g", "a", "svg", "use", "switch", "text", "image")
    return shown and not element.get("requiredExtensions")


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """Return an element's view box (x, y, width, height), None where it has no usable one."""
    values = parse_points(element.get("viewBox"))
    if len(values) != 2 or values[1][0] <= 0 or values[1][1] <= 0:
        return None
    return (*values[0], *values[1])


def fit_box(box: tuple[float, float, float, float] | None, width: float, height: float, aspect: str) -> Matrix:
    """Return the map of a view box into a viewport (SVG 2, section 8.2: the equivalent transform)."""
    if box is None:
        return IDENTITY
    sx, sy = width / box[2], height / box[3]
    words = aspect.split() or ["xMidYMid"]
    if words[0] != "none":
        sx = sy = max(sx, sy) if words[-1] == "slice" else min(sx, sy)
    share = {"xMin": 0.0, "xMax": 1.0, "YMin": 0.0, "YMax": 1.0}
    ax, ay = share.get(words[0][:4], 0.5), share.get(words[0][4:8], 0.5)
    if words[0] == "none":
        ax = ay = 0.0
    return (sx, 0.0, 0.0, sy, ax * (width - box[2] * sx) - box[0] * sx, ay * (height - box[3] * sy) - box[1] * sy)


def _imported(root: Element, unit_mm: float | None) -> Imported:
    by_id = {e.get("id"): e for e in reversed(list(root.walk())) if e.get("id")}  # of two alike the first is meant
    box = view_box(root)
    width, height = (box[2], box[3]) if box else (_number(root.get("width"), 100.0), _number(root.get("height"), 100.0))
    findings: list[str] = []
    told, ratio = _root_unit(root, box, findings)
    reader = _Reader(StyleSheet(root), by_id, (width, ratio * height))
    # The page's lower left corner becomes the origin, y up; a view box keeps the numbers it begins with.
    flip = (1.0, 0.0, 0.0, -ratio, 0.0, ratio * ((2 * box[1] if box else 0.0) + height))
    start = _Place(flip, Style(), width, height)
    own = reader.sheet.of(root)
    reader.findings += findings
    if not hidden(own):
        reader.children(root, reader.inside(root, own, start))
    if unit_mm is not None and told is not None and not math.isclose(unit_mm, told, rel_tol=1e-3):
        reader.findings.append(
            f"the file says that its unit is {told:.6g} mm; it was read as {unit_mm:.6g} mm as asked"
        )
    for what, n in sorted(reader.left_out.items()):
        if n:
            reader.findings.append(f"{what} left out: {n}")
    return imported(reader.drawn(), told if unit_mm is None else unit_mm, reader.findings, GUESSES)


def _root_unit(
    root: Element, box: tuple[float, float, float, float] | None, findings: list[str]
) -> tuple[float | None, float]:
    """Return the mm of a unit across (None: not said), and how much larger a unit upward is."""
    across, up = _physical(root.get("width")), _physical(root.get("height"))
    if root.get("width").strip().endswith("px") or root.get("height").strip().endswith("px"):
        findings.append("sizes in px were read as 96 to the inch; name another unit if they come out wrong")
    if across is None and up is None:
        return None, 1.0
    if box is None:
        return UNITS["px"], 1.0
    scale = [mm / side for mm, side in ((across, box[2]), (up, box[3])) if mm is not None]
    if root.get("preserveAspectRatio").split()[:1] == ["none"]:
        return scale[0], scale[-1] / scale[0]
    slices = root.get("preserveAspectRatio").split()[-1:] == ["slice"]
    return (max(scale) if slices else min(scale)), 1.0


def _physical(text: str) -> float | None:
    """Return a length in mm where it says its unit."""
    match = _LENGTH.fullmatch(text)
    if match is None or match[2].lower() not in UNITS or match[2].lower() in ("m", "ft", "dm", "mil"):
        return None
    length = float(match[1]) * UNITS[match[2].lower()]
    return length if 0 < length < math.inf else None


def _length(element: Element, name: str, whole: float, default: float = 0.0) -> float:
    return _number(element.get(name), whole, default)


def _number(text: str, whole: float, default: float = 0.0) -> float:
    """Return a length in user units; percentages are of `whole`, physical units by the CSS ratio of 96 to the inch."""
    match = _LENGTH.fullmatch(text)
    if match is None or not math.isfinite(float(match[1])):
        return default
    value, unit = float(match[1]), match[2].lower()
    if unit == "%":
        return value / 100 * whole
    return value * UNITS[unit] / UNITS["px"] if unit in UNITS else value


def _rectangle(e: Element, at: _Place) -> list[SubPath]:
    x, y = _length(e, "x", at.width), _length(e, "y", at.height)
    rx, ry = _length(e, "rx", at.width, math.nan), _length(e, "ry", at.height, math.nan)
    rx, ry = (0.0 if math.isnan(ry) else ry) if math.isnan(rx) else rx, rx if math.isnan(ry) else ry
    ry = 0.0 if math.isnan(ry) else ry
    return rectangle_path(x, y, _length(e, "width", at.width), _length(e, "height", at.height), rx, ry)


def _ellipse(e: Element, at: _Place) -> list[SubPath]:
    centre = (_length(e, "cx", at.width), _length(e, "cy", at.height))
    r = _length(e, "r", math.hypot(at.width, at.height) / math.sqrt(2))
    return ellipse_path(centre, _length(e, "rx", at.width, r), _length(e, "ry", at.height, r))


def _line(e: Element, at: _Place) -> list[SubPath]:
    start = (_length(e, "x1", at.width), _length(e, "y1", at.height))
    return polyline_path([start, (_length(e, "x2", at.width), _length(e, "y2", at.height))], closed=False)


_SHAPES: dict[str, Callable[[Element, _Place], list[SubPath]]] = {
    "path": lambda e, _: parse_path(e.get("d")),
    "rect": _rectangle,
    "circle": _ellipse,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": lambda e, _: polyline_path(parse_points(e.get("points")), closed=False),
    "polygon": lambda e, _: polyline_path(parse_points(e.get("points")), closed=True),
}
