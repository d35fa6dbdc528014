"""Looks for stamped images on the scraps of a picture, beside the window, and lays them on the tray as one step."""

from __future__ import annotations

from typing import Any

from app.document.document import Document
from app.wayin.found import Found
from app.wayin.job import outline_from
from app.wayin.stamps import STAIN, Stamp, magnified, stretched
from app.wayin.tray import Tray
from layout.formats import writing
from layout.geometry.pose import Pose
from layout.geometry.value import replace


def wish_for_images(tray: Tray, document: Document, place: dict[str, Any]) -> dict[str, Any] | None:
    """Return what the reading process needs to look for images; None where there is nothing to look at or for."""
    scraps = [t for t in tray.things if wanted(t)]
    cuts = [d.cut for d in document.project.dies]
    if not scraps or not cuts or not place:
        return None
    # The picture is as it was read; what a ruler has corrected since is taken back for the search.
    outlines = [writing.outline(magnified(t.outline, 1 / t.scale)) for t in scraps]
    scale = scraps[0].scale
    told = [writing.outline(magnified(cut, 1 / scale)) for cut in cuts]
    return {"how": "images", "place": place, "scraps": outlines, "cuts": told}


def wanted(thing: Found) -> bool:
    """Tell whether images are looked for on a thing."""
    return thing.kept and thing.kind == "scrap"


def lay_images(tray: Tray, document: Document, said: list[list[dict[str, Any]]]) -> tuple[int, int]:
    """Lay what was found on the scraps as one step; return how many images there are and how many a die frames."""
    waiting = iter(said)
    things = [_with(t, next(waiting, []), document) if wanted(t) else t for t in tray.things]
    tray.change(tuple(things))
    stamps = [s for t in things if wanted(t) for s in t.stamps]
    return len(stamps), sum(s.die != STAIN for s in stamps)


def _with(thing: Found, images: list[dict[str, Any]], document: Document) -> Found:
    return replace(thing, stamps=tuple(stretched(_stamp(i, document), thing.scale) for i in images))


def _stamp(said: dict[str, Any], document: Document) -> Stamp:
    """Read an image; one that no die frames is kept free of pieces until somebody says otherwise."""
    dies = document.project.dies
    ink = outline_from(said["ink"])
    if said["die"] is None or said["die"] >= len(dies):
        left, low, right, high = ink.bounds
        return Stamp(ink, STAIN, Pose((left + right) / 2, (low + high) / 2))
    return Stamp(ink, dies[said["die"]].id, Pose(*said["pose"]))
