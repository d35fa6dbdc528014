"""How long a drawer of forty dies takes to come in from SVG and from DXF; each reading's answer is compared."""

from __future__ import annotations

import pytest

from layout.formats.drawing_out import outlines_to_dxf, outlines_to_svg
from layout.formats.dxf_file import parse_dxf
from layout.formats.svg_file import parse_svg
from layout.geometry.catalogue import KINDS, shape_by_name
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose

COLUMNS, PITCH = 8, 100.0


def drawer() -> list[Outline]:
    """Return forty dies of every kind, side by side."""
    kinds = [KINDS[k % len(KINDS)].name for k in range(40)]
    cuts = [shape_by_name(k, 40 + n, None if k == "circle" else 60 + n) for n, k in enumerate(kinds)]
    places = [Pose(PITCH * (n % COLUMNS), 1.2 * PITCH * (n // COLUMNS)) for n in range(len(cuts))]
    return [at.outline(cut) for at, cut in zip(places, cuts, strict=True)]


@pytest.mark.parametrize(("write", "read"), [(outlines_to_svg, parse_svg), (outlines_to_dxf, parse_dxf)])
def test_a_drawer_of_forty_dies(benchmark, write, read):
    dies = drawer()
    got = benchmark(read, write(dies), "drawer")
    assert [o.area for o in got.outlines] == pytest.approx([d.area for d in dies], rel=1e-5)
