"""DXF drawings in, by ezdxf: every contour as true curves in mm, blocks unfolded, units as the header says."""

from __future__ import annotations

import io
import logging
import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.entities.polygon import DXFPolygon
from ezdxf.entities.spline import Spline
from ezdxf.filemanagement import read as read_text
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.tagger import binary_tags_loader
from ezdxf.math import Vec3
from ezdxf.path.commands import Curve3To, Curve4To, LineTo
from ezdxf.path.converter import from_hatch, make_path
from ezdxf.path.path import Path as Path3d

from layout.formats.contours import Chain, TooMuchError
from layout.formats.drawing_units import INCH
from layout.formats.dxf_spline import spline_path
from layout.formats.imported import Imported, drawing_bytes, imported
from layout.formats.reading import one_line
from layout.geometry.curve import Cubic, Line, Segment, quadratic
from layout.geometry.outline import OutlineError, Point
from layout.model.errors import FileError

MOST_ENTITIES = 200_000
MOST_UNFOLDED = 10_000
MOST_DEPTH = 12
GUESSES = {"mm": 1.0, "in": INCH, "cm": 10.0, "m": 1000.0, "72 per inch": INCH / 72}
INSUNITS = {
    1: INCH,
    2: 12 * INCH,
    3: 63_360 * INCH,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    7: 1e6,
    8: INCH * 1e-6,
    9: INCH * 1e-3,
    10: 36 * INCH,
    11: 1e-7,
    12: 1e-6,
    13: 1e-3,
    14: 100.0,
    15: 1e4,
    16: 1e5,
    21: 1_200_000 / 3937,
    22: 100_000 / 3937,
    23: 3_600_000 / 3937,
    24: 5280 * 1_200_000 / 3937,
}
"""mm of the units that the header variable $INSUNITS numbers (published system-variable table); the four that measure
the sky (17 to 20) are asked about, as where there is none."""
_ARC_PIECES = 12
"""Cubics for an arc or circle, a third as many for a bulge: they lie within 4e-6 of its radius."""
_SPLINE_LEVEL = 6
_FLAT = 1e-6
logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # what it would print is told as findings
FAULTS = (DXFError, ValueError, TypeError, LookupError, AttributeError, ArithmeticError, OSError, AssertionError)
"""What ezdxf raises on broken files, as found by breaking them at random."""
_UNIT_NAME = b"$INSUNITS"
_BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"
_DRAWN = {"LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE", "HATCH", "MPOLYGON", "SOLID", "TRACE"}
_DRAWN |= {"3DFACE"}
_SILENT = {"POINT", "SEQEND", "VIEWPORT"}
_WORDS = {
    **dict.fromkeys(("TEXT", "MTEXT", "ATTRIB", "ATTDEF"), "text"),
    **dict.fromkeys(("DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER", "TOLERANCE"), "dimensions and leaders"),
    **dict.fromkeys(("IMAGE", "WIPEOUT", "OLE2FRAME", "PDFUNDERLAY"), "pictures"),
}


def read_dxf(path: Path, unit_mm: float | None = None) -> Imported:
    """Read a DXF file. `unit_mm`: what one drawing unit is (None: what the header says).

    Where the header does not say it either, the result's `unit_mm` is None and `likely` holds the sizes to ask
    about. Raises FileError.
    """
    return parse_dxf(drawing_bytes(path), str(path), unit_mm)


def parse_dxf(data: bytes, name: str, unit_mm: float | None = None) -> Imported:
    """Read the bytes of a DXF file called `name`; raises FileError."""
    name = one_line(name)
    try:
        return _imported(_document(data), unit_mm, _UNIT_NAME in data)
    except (TooMuchError, OutlineError) as error:
        raise FileError(one_line(f"{name}: {error}")) from error
    except FAULTS as error:
        raise FileError(one_line(f"{name}: this is no readable DXF drawing ({error}); export it again")) from error


def _document(data: bytes) -> Drawing:
    """Load a drawing; one with flaws is mended as far as ezdxf can."""
    if not data.strip():
        raise ValueError("it is empty")
    if data.startswith(_BINARY):
        return Drawing.load(binary_tags_loader(data, errors="surrogateescape"))
    try:
        return read_text(io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", errors="surrogateescape"))
    except FAULTS:
        return recover.read(io.BytesIO(data))[0]


@dataclass(slots=True)
class _Reader:
    hidden: set[str]
    chains: list[Chain] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    raised: bool = False
    seen: int = 0
    unfolded: int = 0

    def read(self, entities: Iterable[DXFEntity], depth: int = 0) -> None:
        for entity in entities:
            self.seen += 1
            if self.seen > MOST_ENTITIES:
                raise TooMuchError(f"it draws more than {MOST_ENTITIES:,} things; export the outlines alone")
            if entity.dxf.get("layer", "0").lower() in self.hidden or entity.dxf.get("invisible", 0):
                self.left_out["hidden things"] += 1
            elif isinstance(entity, Insert):
                self._unfold(entity, depth)
            elif entity.dxftype() in _DRAWN:
                self._draw(entity)
            elif entity.dxftype() not in _SILENT:
                self.left_out[_WORDS.get(entity.dxftype(), f"things of kind {entity.dxftype()}")] += 1

    def _unfold(self, insert: Insert, depth: int) -> None:
        block = insert.block()
        if block is None or block.block is None or block.block.is_xref or depth >= MOST_DEPTH:
            self.left_out["blocks that are not in the file or hold themselves"] += 1
            return
        grid = max(1, insert.dxf.row_count) * max(1, insert.dxf.column_count)
        self.unfolded += grid * max(1, len(block))
        if self.unfolded > MOST_UNFOLDED:
            raise TooMuchError(f"its blocks unfold to more than {MOST_UNFOLDED:,} things; export the outlines alone")
        for one in insert.multi_insert() if grid > 1 else (insert,):
            self.read(one.virtual_entities(), depth + 1)

    def _draw(self, entity: DXFEntity) -> None:
        try:
            for path in _paths(entity):
                self._keep(path)
        except FAULTS:
            self.left_out[f"broken {entity.dxftype()}"] += 1

    def _keep(self, path: Path3d) -> None:
        segments, z = _segments(path)
        self.raised = self.raised or z > _FLAT
        if segments:
            self.chains.append(Chain(tuple(segments), path.is_closed))


def _paths(entity: DXFEntity) -> list[Path3d]:
    """Return an entity's paths; a hatch has one for each border."""
    if isinstance(entity, DXFPolygon):
        return list(from_hatch(entity))
    if isinstance(entity, Spline):
        return [spline_path(entity, _SPLINE_LEVEL)]
    path = make_path(entity, segments=_ARC_PIECES, level=_SPLINE_LEVEL)
    return list(path.sub_paths()) if path.has_sub_paths else [path]


def _segments(path: Path3d) -> tuple[list[Segment], float]:
    """Return a path's segments seen from above, and how far it leaves the plane."""
    at, z = path.start, abs(path.start.z)
    made: list[Segment] = []
    for command in path.commands():
        start, end = _flat(at), _flat(command.end)
        if isinstance(command, LineTo) and start != end:
            made.append(Line(start, end))
        elif isinstance(command, Curve4To):
            made.append(Cubic(start, _flat(command.ctrl1), _flat(command.ctrl2), end))
        elif isinstance(command, Curve3To):
            made.append(quadratic(start, _flat(command.ctrl), end))
        at, z = command.end, max(z, abs(command.end.z))
    return made, z


def _flat(at: Vec3) -> Point:
    return (float(at.x), float(at.y))


def _elsewhere(reader: _Reader, document: Drawing) -> list[str]:
    """Read what is drawn outside the model: on sheets of paper, or in blocks that nothing inserts."""
    for name in document.layouts.names():
        reader.read(document.layouts.get(name))
    if reader.chains:
        return ["nothing is drawn in the model; the shapes on its paper layouts were read"]
    for block in document.blocks:
        if not block.is_any_layout:
            reader.read(block)
    return ["nothing is inserted in the drawing; the shapes of its blocks were read"] if reader.chains else []


def _imported(document: Drawing, unit_mm: float | None, has_unit: bool) -> Imported:
    reader = _Reader({layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()})
    reader.read(document.modelspace())
    findings = [f"{what} left out: {n}" for what, n in sorted(reader.left_out.items())]
    if not reader.chains:
        findings += _elsewhere(reader, document)
    if reader.raised:
        findings.append("parts of it are drawn in space; they were taken as seen from above")
    # Where the variable is missing, ezdxf fills in a unit of its own; only what the file says counts.
    told = INSUNITS.get(int(document.header.get("$INSUNITS", 0))) if has_unit else None
    if unit_mm is not None and told is not None and not math.isclose(unit_mm, told):
        findings.append(f"the file says that its unit is {told:.6g} mm; it was read as {unit_mm:.6g} mm as asked")
    return imported(reader.chains, told if unit_mm is None else unit_mm, findings, GUESSES)
