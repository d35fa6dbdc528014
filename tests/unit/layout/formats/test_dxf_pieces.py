"""Pieces of the classic nesting instances, drawn as DXF in the ways such files are, come out corner for corner."""

from __future__ import annotations

import io
import json
from random import Random

import ezdxf
import pytest

from layout.formats.dxf_file import parse_dxf
from tests.support.shared import SHARED, need

NAMES = ["albano", "blaz1", "mao", "swim", "trousers"]


def pieces(name):
    """Return the distinct pieces of an instance (ESICUP collection, coordinates as published)."""
    items = json.loads(need(SHARED / "benchmarks" / "strip" / f"{name}.json").read_text())["items"]
    rings = [[tuple(map(float, p)) for p in item["shape"]["data"]] for item in items]
    return [r[:-1] if r[0] == r[-1] else r for r in rings]


def same_ring(a, b):
    """Whether two rings go through the same corners in the same order, from wherever and either way round."""
    doubled = [*a, *a]
    return any(list(b) == doubled[k : k + len(a)] or list(b)[::-1] == doubled[k : k + len(a)] for k in range(len(a)))


def as_lines(space, ring, rng):
    sides = list(zip(ring, ring[1:] + ring[:1], strict=True))
    rng.shuffle(sides)
    for p, q in sides:
        space.add_line(*((p, q) if rng.random() < 0.5 else (q, p)))


def as_two_halves(space, ring, rng):
    k = rng.randrange(1, len(ring))
    space.add_lwpolyline(ring[: k + 1])
    space.add_lwpolyline([*ring[k:], ring[0]])


HOW = {
    "closed polyline": lambda space, ring, _: space.add_lwpolyline(ring, close=True),
    "polyline back to its start": lambda space, ring, _: space.add_lwpolyline([*ring, ring[0]]),
    "old polyline": lambda space, ring, _: space.add_polyline2d(ring, close=True),
    "polyline in space": lambda space, ring, _: space.add_polyline3d([*ring, ring[0]]),
    "two halves": as_two_halves,
    "lines": as_lines,
}


@pytest.mark.parametrize("how", HOW)
@pytest.mark.parametrize("name", NAMES)
def test_each_piece_alone(name, how):
    for k, ring in enumerate(pieces(name)):
        document = ezdxf.new("R2000", units=0)
        HOW[how](document.modelspace(), ring, Random(k))
        text = io.StringIO()
        document.write(text)
        got = parse_dxf(text.getvalue().encode(), f"{name}-{k}", 1.0)
        assert len(got.outlines) == 1, (k, got.findings)
        assert same_ring(ring, got.outlines[0].outer), k


@pytest.mark.parametrize("how", ["closed polyline", "lines"])
@pytest.mark.parametrize("name", ["swim", "shapes0", "trousers"])
def test_all_pieces_in_one_drawing_with_no_unit(name, how):
    document, at, placed = ezdxf.new("R2000", units=0), 0.0, []
    for k, ring in enumerate(pieces(name)):
        width = max(p[0] for p in ring) - min(p[0] for p in ring)
        placed.append([(x + at, y) for x, y in ring])
        HOW[how](document.modelspace(), placed[-1], Random(k))
        at += 1.5 * width
    text = io.StringIO()
    document.write(text)
    got = parse_dxf(text.getvalue().encode(), name)
    assert got.unit_mm is None
    assert len(got.outlines) == len(placed)
    assert all(any(same_ring(ring, o.outer) for o in got.outlines) for ring in placed)


def bare_polyline(ring, end="\n", closed=1):
    lines = [0, "SECTION", 2, "ENTITIES", 0, "POLYLINE", 8, "1", 66, 1, 70, closed]
    for x, y in ring:
        lines += [0, "VERTEX", 8, "1", 10, repr(x), 20, repr(y)]
    return end.join(map(str, [*lines, 0, "SEQEND", 0, "ENDSEC", 0, "EOF", ""])).encode()


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("name", ["swim", "blaz1"])
def test_a_bare_list_of_vertices_as_other_programs_write_it(name, end, mark):
    for ring in pieces(name):
        got = parse_dxf(mark + bare_polyline(ring, end), name, 1.0)
        assert same_ring(ring, got.outlines[0].outer)
        again = parse_dxf(mark + bare_polyline([*ring, ring[0]], end, closed=0), name, 1.0)
        assert same_ring(ring, again.outlines[0].outer)
