"""`python -m layout import`: a drawing in, its outlines out as a file of millimetres."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from layout.formats.drawing_units import unit_in_mm
from layout.formats.dxf_file import read_dxf
from layout.formats.imported import Imported, imported_bytes, question
from layout.formats.svg_file import read_svg
from layout.formats.writing import write_bytes
from layout.model.errors import FileError

DONE, REFUSED, ASKED = 0, 2, 3
READERS = {".svg": read_svg, ".dxf": read_dxf}


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command `import` to the headless program."""
    parser = subparsers.add_parser("import", help="read the outlines of an SVG or DXF drawing")
    parser.add_argument("drawing", type=Path, metavar="FILE.svg|FILE.dxf")
    parser.add_argument("--unit", help="what one unit of the drawing is: mm, in, pt, … or 96/in", metavar="UNIT")
    parser.add_argument("--out", type=Path, required=True, metavar="F.json")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Read the drawing and write its outlines. 0: done; 2: refused; 3: written in its own unit, which is asked for."""
    try:
        got = read_drawing(args.drawing, args.unit)
        write_bytes(imported_bytes(got), args.out)
    except FileError as error:
        print(error, file=sys.stderr)
        return REFUSED
    for finding in got.findings:
        print(finding)
    if got.unit_mm is None:
        print(f"{args.drawing}: {question(got)}; say it with --unit", file=sys.stderr)
        return ASKED
    print(f"{len(got.outlines)} outlines written to {args.out}")
    return DONE


def read_drawing(path: Path, unit: str | None = None) -> Imported:
    """Read a drawing by its ending; `unit` as a person names it. Raises FileError."""
    reader = READERS.get(path.suffix.lower())
    if reader is None:
        raise FileError(f"{path}: only SVG and DXF drawings are read (.svg, .dxf); a picture is traced instead")
    try:
        return reader(path, None if unit is None else unit_in_mm(unit))
    except ValueError as error:
        raise FileError(str(error)) from error
