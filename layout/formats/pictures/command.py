"""`python -m layout trace`: a scan or a photo in, the outlines of the dies on it out as a file of millimetres."""

from __future__ import annotations

import argparse
import math
import sys
from pathlib import Path

from layout.formats import writing
from layout.formats.pictures.photo import trace_photo
from layout.formats.pictures.reading import Picture, read_picture
from layout.formats.pictures.reference import SHEETS
from layout.formats.pictures.scan import trace_scan
from layout.formats.pictures.traced import Traced
from layout.model.errors import FileError

DONE, REFUSED = 0, 2


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command `trace` to the headless program."""
    parser = subparsers.add_parser("trace", help="find the outlines of dies on a scan or a photo")
    parser.add_argument("picture", type=Path, metavar="PICTURE")
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--dpi", type=float, metavar="N", help="a scan's dots per inch, where its file does not say")
    how.add_argument("--card", action="store_true", help="a photo with a bank card (85.60 x 53.98 mm) in view")
    how.add_argument(
        "--coin", type=float, metavar="DIAMETER_MM", help="a photo with a round coin of this diameter in view"
    )
    how.add_argument("--sheet", choices=sorted(SHEETS), help="a photo of dies on a whole sheet of this paper")
    parser.add_argument("--out", type=Path, required=True, metavar="F.json")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Trace the picture and write what was found. 0: done; 2: refused, with one sentence and nothing written."""
    try:
        traced = trace(args.picture, dpi=args.dpi, card=args.card, coin=args.coin, sheet=args.sheet)
        writing.write_bytes(traced_bytes(traced), args.out)
    except FileError as error:
        print(error, file=sys.stderr)
        return REFUSED
    for finding in traced.findings:
        print(finding)
    print(f"{len(traced.outlines)} outlines written to {args.out}, borders true to {traced.uncertainty_mm:.2f} mm")
    return DONE


def trace(path: Path, *, dpi: float | None = None, card: bool = False, coin: float | None = None,
          sheet: str | None = None) -> Traced:  # fmt: skip
    """Trace a picture file as a scan or, with a reference named, as a photo; raises FileError."""
    _refuse_numbers(path, dpi, coin)
    picture = read_picture(path)
    try:
        traced = _traced(path, picture, dpi, card, coin, sheet)
    except FileError as error:
        raise error if str(path) in str(error) else FileError(f"{path}: {error}") from error
    if not traced.outlines:
        raise FileError(
            f"{path}: no die was found: lay the dies apart on a plain ground darker or lighter than they are"
        )
    return traced


def _traced(
    path: Path, picture: Picture, dpi: float | None, card: bool, coin: float | None, sheet: str | None
) -> Traced:
    if card or coin is not None or sheet is not None:
        return trace_photo(picture.pixels, coin_diameter=coin, ground_sheet=sheet)
    stated = dpi or picture.dpi
    if stated is None:
        raise FileError(f"{path}: the file does not say its dots per inch: say them with --dpi, or --card for a photo")
    return trace_scan(picture.pixels, stated)


def _refuse_numbers(path: Path, dpi: float | None, coin: float | None) -> None:
    if dpi is not None and not (math.isfinite(dpi) and 50 <= dpi <= 4800):
        raise FileError(f"{path}: {dpi:g} dpi cannot be traced: scan at 150 to 1200 dpi")
    if coin is not None and not (math.isfinite(coin) and 10 <= coin <= 60):
        raise FileError(f"{path}: no coin is {coin:g} mm across: give its diameter in millimetres, such as 24.26")


def traced_bytes(traced: Traced) -> bytes:
    """Return the file of what was traced: outlines in mm, the pixel in mm, remarks, and how far off borders may be."""
    outlines = [{"holes": []} | writing.outline(o) for o in traced.outlines]
    return writing.to_bytes(
        {
            "outlines": outlines,
            "unit_mm": traced.unit_mm,
            "findings": list(traced.findings),
            "uncertainty_mm": traced.uncertainty_mm,
            "errors_mm": list(traced.errors_mm),
        }
    )
