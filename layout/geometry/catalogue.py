"""The shapes that can be asked for by name, with their settings, and sets of them in steps."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass

from layout.geometry import ornaments, shapes
from layout.geometry.outline import Outline, OutlineError
from layout.geometry.rim import frame

Maker = Callable[..., Outline]


@dataclass(frozen=True, slots=True)
class Setting:
    """A number that a shape can be given beside its size; without a default it follows from the size."""

    name: str
    default: float | None
    whole: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """A shape by name. Where `height_follows`, a missing height keeps the shape's own proportion."""

    name: str
    make: Maker
    height_follows: bool
    settings: tuple[Setting, ...]


def shape_by_name(
    kind: str, width: float, height: float | None = None, *, border: float | None = None, **settings: float | None
) -> Outline:
    """Return the outline of a named shape of a size in mm; with a `border` the even frame of it.

    Raises OutlineError for a name, a setting or a size that no such shape has.
    """
    known = kind_by_name(kind)
    if height is None and not known.height_follows:
        raise OutlineError(f"a {kind} needs a width and a height")
    unknown = sorted(settings.keys() - {s.name for s in known.settings})
    if unknown:
        raise OutlineError(f"a {kind} has no setting called '{unknown[0]}'")
    given = {s.name: _number(s, settings[s.name]) for s in known.settings if s.name in settings}
    made = known.make(width, height, **given)
    return made if border is None else frame(made, border)


def steps(
    kind: str, width: float, height: float | None, count: int, larger: float, **settings: float | None
) -> tuple[Outline, ...]:
    """Return `count` outlines of one shape, each `larger` mm wider and higher than the one before."""
    if count < 1:
        raise OutlineError(f"a set holds at least one shape, not {count}")
    sizes = [(width + k * larger, None if height is None else height + k * larger) for k in range(count)]
    return tuple(shape_by_name(kind, w, h, **settings) for w, h in sizes)


def kind_by_name(name: str) -> Kind:
    """Return what is known of a named shape; raises OutlineError naming the shapes there are."""
    for kind in KINDS:
        if kind.name == name:
            return kind
    raise OutlineError(f"no shape is called '{name}'; there are {', '.join(k.name for k in KINDS)}")


def _number(setting: Setting, value: float | None) -> float | None:
    if value is None or not setting.whole:
        return value
    if value != int(value):
        raise OutlineError(f"{setting.name} must be a whole number, {value:g} is not")
    return int(value)


def _circle(width: float, height: float | None = None) -> Outline:
    if height is not None and height != width:
        raise OutlineError("a circle is as wide as it is high; ask for an oval")
    return shapes.circle(width)


def _rounded(width: float, height: float, *, radius: float | None = None) -> Outline:
    return shapes.rounded_rectangle(width, height, min(width, height) / 8 if radius is None else radius)


def _kind(name: str, make: Maker) -> Kind:
    """Read a shape's settings off its function, so that they are said once."""
    parameters = inspect.signature(make).parameters
    named = [p for p in parameters.values() if p.kind is inspect.Parameter.KEYWORD_ONLY]
    height_follows = parameters["height"].default is None
    return Kind(name, make, height_follows, tuple(Setting(p.name, p.default, p.annotation == "int") for p in named))


KINDS: tuple[Kind, ...] = (
    _kind("rectangle", shapes.rectangle),
    _kind("rounded rectangle", _rounded),
    _kind("oval", shapes.oval),
    _kind("circle", _circle),
    _kind("polygon", shapes.polygon),
    _kind("star", shapes.star),
    _kind("heart", shapes.heart),
    _kind("scalloped", shapes.scalloped),
    _kind("label", shapes.label),
    _kind("tag", shapes.tag),
    _kind("leaf", shapes.leaf),
    _kind("fern leaf", ornaments.fern_leaf),
    _kind("banner", shapes.banner),
    _kind("arch", shapes.arch),
    _kind("crescent", shapes.crescent),
    _kind("moth", ornaments.moth),
    _kind("night flower", ornaments.night_flower),
)
