"""The process beside the window that reads and traces one file: `python -m app.wayin.job REQUEST.json`.

It writes one JSON object a line: `doing` (words), `seen` (the picture to show), `asks` (what must be said first),
`done` (what was found) or `fault` (one sentence). Ending the process stops it.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from math import log
from pathlib import Path
from typing import Any

from app.wayin.files import DRAWINGS
from app.wayin.naming import names_for
from layout.formats import writing
from layout.geometry.outline import Outline
from layout.model.errors import FileError, PlatefulError

SCANNERS_LEAST = 100.0  # dots per inch: a camera writes 72 or 96, which says nothing
SHOWN_PIXELS = 9e6
HANDY = 80.0  # mm
BIG = 5.0  # million points from which it is said how many a picture has
Said = dict[str, Any]


def main() -> int:
    """Do what the request asks and tell it line by line."""
    request = json.loads(Path(sys.argv[1]).read_text("utf-8"))
    path = Path(request["path"])
    try:
        if request["how"] == "images":
            look_for_images(request)
        else:
            read = read_a_drawing if path.suffix.lower() in DRAWINGS else read_a_picture
            read(path, request)
    except PlatefulError as error:
        tell("fault", words=_about(path, str(error)))
    except MemoryError:
        tell("fault", words=f"{path.name}: it does not fit into this computer's memory; scan at 300 dpi.")
    return 0


def tell(event: str, **said: Any) -> None:
    """Say one thing to the window."""
    print(json.dumps({"event": event, **said}), flush=True)


def _about(path: Path, words: str) -> str:
    """Return a sentence that names the file by its name alone."""
    words = words.replace(str(path), path.name)
    words = words if path.name in words else f"{path.name}: {words}"
    return words if words.endswith(".") else f"{words}."


# ---- drawings ---------------------------------------------------------------------------------------------------


def read_a_drawing(path: Path, request: Said) -> None:
    """Read a drawing's outlines; where it does not say its unit, ask with the sizes it would have."""
    from layout.formats.import_command import read_drawing

    tell("doing", words="Reading the drawing")
    got = read_drawing(path, request.get("unit"))
    if got.unit_mm is None:
        sizes = [{"unit": s.unit, "width": s.width, "height": s.height} for s in sorted(got.likely, key=_oddity)[:4]]
        tell("asks", what="unit", sizes=sizes, words=f"{path.name} does not say its unit: which size is right?")
        return
    pairs = list(_paired(got))
    names = names_for([cut for cut, _ in pairs], path.stem, request["measure"])
    things = [_thing(c, n, metal=False, body=b) for (c, b), n in zip(pairs, names, strict=True)]
    tell("done", things=things, findings=list(got.findings), uncertainty=None, rests=f"the drawing {path.name} itself")


def _oddity(size: Any) -> float:
    """Return how far a drawing's longer side is from what a hand holds: the likely sizes are offered first."""
    return abs(log(max(size.width, size.height, 1e-9) / HANDY))


def _paired(got: Any) -> list[tuple[Outline, Outline | None]]:
    """Return each cut with its windows and, where the drawing has it, the metal about it."""
    bodies = [k for k, c in enumerate(got.contours) if c.role == "body"]
    metal = {got.contours[k].ring: k for k in bodies}
    found: list[tuple[Outline, Outline | None]] = []
    for outline in got.outlines:
        body = metal.get(outline.outer)
        cuts = [] if body is None else [c.ring for c in got.contours if c.role == "cut" and c.inside == body]
        found.append((Outline.trusted(cuts[0]), outline.solid) if cuts else (outline, None))
    return found


# ---- pictures ---------------------------------------------------------------------------------------------------


def read_a_picture(path: Path, request: Said) -> None:
    """Read a picture, show it, and trace it where its scale is known or asked for."""
    tell("doing", words="Reading the picture")
    from layout.formats.pictures.reading import read_picture

    picture = read_picture(path)
    rows = picture.pixels.shape[0]
    scanned = picture.dpi is not None and picture.dpi >= SCANNERS_LEAST and not _by_a_camera(path)
    how = request["how"]
    if how == "auto":
        how, request["value"] = ("dpi", picture.dpi) if scanned else ("card", None)
        request["tried"] = not scanned
    mm = 25.4 / float(request["value"]) if how == "dpi" else 0.1
    tell("seen", **_written(request, "seen", picture.pixels, 0.0, rows * mm, mm), how=how, dpi=picture.dpi)
    millions = picture.pixels.shape[0] * picture.pixels.shape[1] / 1e6
    size = f" in {millions:.0f} million points" if millions > BIG else ""
    tell("doing", words=f"Looking for outlines{size}")
    try:
        traced, view, rests = TRACERS[how](picture.pixels, request)
    except FileError as error:
        if not request.get("tried"):
            raise
        said = f"{path.name} does not say how large it is, and {str(error).split(':')[0]}"
        tell("asks", what="scale", words=f"{said}: say what its scale rests on.")
        return
    if not traced.outlines:
        raise FileError(
            f"{path}: no outline was found: lay the dies apart on a plain ground, darker or lighter than they are"
        )
    outlines = _as_read(traced.outlines)
    tell("doing", words=f"Naming {len(outlines)} outlines")
    names = names_for([o.solid for o in outlines], request["kind"], request["measure"])
    things = [_thing(o, n, metal=True) for o, n in zip(outlines, names, strict=True)]
    if view is not None:
        tell(
            "seen",
            **_written(request, "straight", view.picture, view.left, view.top, view.mm),
            how=how,
            dpi=picture.dpi,
        )
    tell("done", things=things, findings=list(traced.findings), uncertainty=traced.uncertainty_mm, rests=rests)


def look_for_images(request: Said) -> None:
    """Find the images stamped on scraps that are known already, on the picture as it is shown."""
    tell("doing", words="Looking for stamped images")
    import cv2

    from layout.formats.pictures.scraps import images_on

    place = request["place"]
    picture = cv2.imread(place["file"], cv2.IMREAD_COLOR)
    if picture is None:
        raise FileError("the picture is not there any more: find the outlines again")
    scraps, cuts = ([outline_from(o) for o in request[k]] for k in ("scraps", "cuts"))
    found = images_on(picture, place["left"], place["top"], place["width"] / picture.shape[1], scraps, cuts)
    tell("images", scraps=[[_stamp(image) for image in images] for images in found])


def _stamp(image: Any) -> Said:
    framed = image.framed
    pose = None if framed is None else [framed.pose.x, framed.pose.y, framed.pose.turn]
    return {"ink": writing.outline(image.ink), "die": None if framed is None else framed.die, "pose": pose}


def _scan(pixels: Any, request: Said) -> tuple[Any, Any, str]:
    from layout.formats.pictures.scan import trace_scan

    dpi = float(request["value"])
    if not 50 <= dpi <= 4800:
        raise FileError(f"{dpi:g} dpi cannot be traced: scan at 150 to 1200 dpi")
    return trace_scan(pixels, dpi), None, f"a scan of {dpi:.5g} dots per inch"


def _card(pixels: Any, request: Said) -> tuple[Any, Any, str]:
    del request
    return (*_photo(pixels, {}), "a bank card of 85.60 × 53.98 mm")


def _coin(pixels: Any, request: Said) -> tuple[Any, Any, str]:
    across = float(request["value"])
    if not 10 <= across <= 60:
        raise FileError(f"no coin is {across:g} mm across: give its diameter, such as 24.26 mm")
    return (*_photo(pixels, {"coin_diameter": across}), f"a coin of {across:g} mm")


def _sheet(pixels: Any, request: Said) -> tuple[Any, Any, str]:
    return (*_photo(pixels, {"ground_sheet": request["value"]}), f"a sheet of {request['value'].title()} paper")


def _photo(pixels: Any, how: Said) -> tuple[Any, Any]:
    from layout.formats.pictures import photo
    from layout.formats.pictures.reference import CARD, SHEETS, find_card, find_coin
    from layout.formats.pictures.scan import shrunk

    traced = photo.trace_photo(pixels, **how)
    plain = shrunk(pixels, 1)
    if "coin_diameter" in how:
        reference = find_coin(plain, how["coin_diameter"])
    else:
        sheet = how.get("ground_sheet")
        reference = find_card(plain, SHEETS[sheet] if sheet else CARD, sheet=bool(sheet))
    return traced, photo.rectify(plain, reference) if reference is not None else None


def _marked(pixels: Any, request: Said) -> tuple[Any, Any, str]:
    from layout.formats.pictures.marked import trace_marked

    wide, high = request["sides"]
    traced, view = trace_marked(pixels, request["corners"], (wide, high), bool(request.get("on_it")))
    return traced, view, f"four corners marked by hand, {wide:g} × {high:g} mm"


TRACERS = {"dpi": _scan, "card": _card, "coin": _coin, "sheet": _sheet, "corners": _marked}


def _as_read(outlines: Sequence[Outline]) -> list[Outline]:
    """Return the outlines as one reads a page: row by row, each from the left; a row is what lies beside its first."""
    left, ordered = sorted(outlines, key=lambda o: -o.bounds[3]), []
    while left:
        middle = (left[0].bounds[1] + left[0].bounds[3]) / 2
        row = [o for o in left if o.bounds[1] < middle < o.bounds[3]]
        ordered += sorted(row, key=lambda o: o.bounds[0])
        left = [o for o in left if o not in row]
    return ordered


def _by_a_camera(path: Path) -> bool:
    """Tell a camera's file: it names an exposure or a focal length, which scanners do not."""
    from PIL import Image

    try:
        with Image.open(path) as image:
            details = image.getexif().get_ifd(0x8769)
    except (OSError, ValueError, SyntaxError):
        return False
    return bool({33434, 33437, 37386} & set(details))  # exposure time, aperture, focal length (EXIF 2.3)


def _written(request: Said, name: str, pixels: Any, left: float, top: float, mm: float) -> Said:
    """Write a picture small enough to be shown, and say where it lies: left, top and a pixel's size in mm."""
    import cv2

    rows, columns = pixels.shape[:2]
    shrink = max(1.0, (rows * columns / SHOWN_PIXELS) ** 0.5)
    if shrink > 1.0:
        pixels = cv2.resize(pixels, (round(columns / shrink), round(rows / shrink)), interpolation=cv2.INTER_AREA)
    file = Path(request["folder"]) / f"{name}.jpg"
    cv2.imwrite(str(file), pixels, [cv2.IMWRITE_JPEG_QUALITY, 92])
    return {"file": str(file), "left": left, "top": top, "width": columns * mm, "height": rows * mm, "pixel": mm}


def _thing(outline: Outline, name: str, *, metal: bool, body: Outline | None = None) -> Said:
    return {
        "outline": writing.outline(outline),
        "name": name,
        "metal": metal,
        "body": None if body is None else writing.outline(body),
        "windows": [] if metal else list(range(len(outline.holes))),
    }


def outline_from(said: Said) -> Outline:
    """Read an outline as this process writes it."""
    rings: Sequence[Any] = [said["outer"], *said.get("holes", ())]
    outer, *holes = (tuple((float(x), float(y)) for x, y in ring) for ring in rings)
    return Outline.trusted(outer, tuple(holes))


if __name__ == "__main__":
    sys.exit(main())
