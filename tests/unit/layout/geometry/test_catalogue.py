"""Shapes asked for by name, and sets of them in steps."""

from __future__ import annotations

from itertools import pairwise

import pytest

from layout.geometry import shapes
from layout.geometry.catalogue import KINDS, kind_by_name, shape_by_name, steps
from layout.geometry.outline import OutlineError


@pytest.mark.parametrize("kind", [k.name for k in KINDS])
@pytest.mark.parametrize("size", [(15, 20), (30, 50), (110, 180)])
def test_every_shape_comes_out_at_the_size_asked_for(kind, size):
    width, height = size if kind != "circle" else (size[0], size[0])
    x0, y0, x1, y1 = shape_by_name(kind, width, height).bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((width, height), abs=1e-9)
    assert (x0, y0) == pytest.approx((-width / 2, -height / 2), abs=1e-9)


@pytest.mark.parametrize("kind", [k.name for k in KINDS if k.height_follows])
def test_a_missing_height_keeps_the_shapes_own_proportion(kind):
    x0, _, x1, _ = shape_by_name(kind, 40).bounds
    assert x1 - x0 == pytest.approx(40)
    small, large = (shape_by_name(kind, w).bounds for w in (20, 40))
    assert large[3] == pytest.approx(2 * small[3], abs=0.05)


def test_six_ovals_each_a_quarter_inch_larger():
    ovals = steps("oval", 25.4, 19.05, 6, 6.35)
    assert [o.bounds[2] * 2 for o in ovals] == pytest.approx([25.4 + 6.35 * k for k in range(6)])
    assert [o.bounds[3] * 2 for o in ovals] == pytest.approx([19.05 + 6.35 * k for k in range(6)])
    assert all(b.polygon.contains(a.polygon) for a, b in pairwise(ovals))


def test_settings_are_read_off_the_shapes():
    assert [(s.name, s.default, s.whole) for s in kind_by_name("star").settings] == [
        ("points", 5, True),
        ("depth", shapes.GOLDEN_STAR, False),
    ]
    assert len(shape_by_name("star", 40, points=7).outer) == 14
    assert len(shape_by_name("oval", 60, 40, border=8).holes) == 1


@pytest.mark.parametrize(
    ("arguments", "settings", "words"),
    [
        (("hart", 20), {}, "no shape is called 'hart'; there are rectangle"),
        (("rectangle", 20), {}, "needs a width and a height"),
        (("circle", 20, 30), {}, "ask for an oval"),
        (("star", 20), {"corners": 5}, "no setting called 'corners'"),
        (("star", 20), {"points": 5.5}, "whole number"),
        (("oval", 20, 30), {"border": 12}, "leaves no window"),
    ],
)
def test_what_cannot_be_is_refused_in_words(arguments, settings, words):
    with pytest.raises(OutlineError, match=words):
        shape_by_name(*arguments, **settings)
