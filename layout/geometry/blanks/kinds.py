"""The blanks a person can ask for by name: which sizes each needs, how it is drawn and put together. Lengths mm."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from typing import Any

from layout.geometry.blanks.drawn import Drawn
from layout.geometry.blanks.faces import Blank, BlankError
from layout.geometry.blanks.flat import envelope, tag_folder
from layout.geometry.blanks.pillow import pillow
from layout.geometry.blanks.trays import lid, tray
from layout.geometry.blanks.tubes import End, Tube, sleeve


@dataclass(frozen=True, slots=True)
class Sizes:
    """A kind of blank and its inner sizes; what a kind does not ask for it does not heed."""

    kind: str = "pinched"
    width: float = 50.0
    depth: float = 25.0
    height: float = 80.0
    thickness: float = 0.0
    tab: float = 12.7
    seam: float = 12.7
    rise: float = 20.0
    flap: float = 30.0

    def blank(self) -> Blank:
        """Draw it; raises BlankError for sizes that cannot be folded, or a kind that is not known."""
        if self.kind not in KINDS:
            raise BlankError(f'no blank is called "{self.kind}"')
        return KINDS[self.kind].draw(self)

    def kept(self) -> dict[str, Any]:
        """Return it as a file keeps it: only what its kind asks for."""
        return {name: getattr(self, name) for name in ("kind", *KINDS[self.kind].asks, "thickness")}

    @classmethod
    def read(cls, kept: object) -> Sizes | None:
        """Return what a file kept; None where that is none of ours."""
        if not isinstance(kept, Mapping) or kept.get("kind") not in KINDS:
            return None
        names = {f.name for f in fields(cls)} & set(kept) - {"kind"}
        return cls(str(kept["kind"]), **{n: float(kept[n]) for n in names if _is_number(kept[n])})


def read_blank(kept: object) -> Sizes | Drawn | None:
    """Return the blank that a file kept, made by size or drawn freely; None where that is none of ours."""
    return Sizes.read(kept) or Drawn.read(kept)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of blank: its name, the sizes it asks for in their order, and how to put it together."""

    name: str
    asks: tuple[str, ...]
    draw: Callable[[Sizes], Blank]
    steps: tuple[str, ...]


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _tube(top: End, bottom: End = "flaps") -> Callable[[Sizes], Blank]:
    def draw(s: Sizes) -> Blank:
        tab = min(s.tab, s.depth + s.thickness)
        tube = Tube(s.width, s.depth, s.height, top, bottom, s.thickness, tab, seam=s.seam, rise=s.rise)
        return tube.blank()

    return draw


_GLUE = "Glue the tab behind the far edge of the left side, so that the walls make a ring."
_BASE = (
    "Snip between the bottom flaps up to the score line; fold in the two side flaps, then glue front and back on them."
)
_BODY = ("depth", "height", "tab")
KINDS: dict[str, Kind] = {
    "pinched": Kind(
        "box with a pinched top",
        ("width", *_BODY, "seam"),
        _tube("pinched"),
        (_GLUE, _BASE, "Fill it, push the sides in along the slanting scores, and pinch the top together."),
    ),
    "clipped": Kind(
        "box with a clipped top",
        ("width", *_BODY, "seam"),
        _tube("clipped"),
        (_GLUE, _BASE, "Fill it, bring front and back together above, and hold them with a clip."),
    ),
    "straight": Kind(
        "straight box with flaps",
        ("width", *_BODY),
        _tube("flaps"),
        (_GLUE, _BASE, "Fill it and close the top like the bottom."),
    ),
    "tuck": Kind(
        "tuck-end box",
        ("width", *_BODY),
        _tube("tuck", "tuck"),
        (_GLUE, "Fold in the dust flaps, then the lid, and tuck its flap in behind the front; so at both ends."),
    ),
    "gable": Kind(
        "box with a gable top",
        ("width", *_BODY, "seam", "rise"),
        _tube("gable"),
        (_GLUE, _BASE, "Fill it, push the sides in along the slanting scores, and bring the two roofs together."),
    ),
    "sleeve": Kind(
        "sleeve",
        ("width", *_BODY),
        lambda s: sleeve(s.width, s.depth, s.height, s.thickness, s.tab),
        (_GLUE,),
    ),
    "pillow": Kind(
        "pillow box",
        ("width", *_BODY),
        lambda s: pillow(s.width, s.depth, s.height, s.thickness, s.tab),
        (
            "Score the arcs along the rim of a plate of that size, or through the true-size template.",
            "Glue the tab behind the far edge of the back while both lie flat.",
            "Press the long edges together so that it opens, fill it, and push the curved flaps in, one on the other.",
        ),
    ),
    "tray": Kind(
        "tray",
        ("width", "depth", "height"),
        lambda s: tray(s.width, s.depth, s.height, s.thickness),
        ("Fold the four walls up and glue each corner tab inside the wall beside it.",),
    ),
    "lid": Kind(
        "lid for a tray",
        ("width", "depth", "height"),
        lambda s: lid(s.width, s.depth, s.height, s.thickness),
        ("Fold the four walls up and glue each corner tab inside the wall beside it.",),
    ),
    "envelope": Kind(
        "envelope",
        ("width", "height", "flap"),
        lambda s: envelope(s.width, s.height, s.flap, seam=min(12.0, s.width / 4)),
        ("Fold in the side flaps, glue the front on them, and fold the top flap over.",),
    ),
    "folder": Kind(
        "tag folder",
        ("width", "height", "depth"),
        lambda s: tag_folder(s.width, s.height, s.depth),
        ("Fold along the score lines, with the good side out.",),
    ),
}
