"""How true traced borders are: `python -m tests.bench.trace [--scans N] [--varied N] [--photos N] [--large] [--once]`.

Pictures are drawn from known outlines by tests/support/picture_maker.py. Printed: percentiles over dies of the 98th
percentile of the two-way border distance, missed and invented dies, and how often the stated uncertainty held.
"""

from __future__ import annotations

import argparse
import json
import resource
import time
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry import Polygon

from layout.formats.pictures.photo import trace_photo
from layout.formats.pictures.scan import trace_scan
from layout.model.errors import FileError
from tests.support.border_distance import border_distance, laid_over, paired
from tests.support.die_shapes import scatter
from tests.support.looks import GROUNDS, varied_look
from tests.support.picture_maker import photo, scan

Errors = list[tuple[float, float]]


def one_scan(seed: int, ground: str | None = None) -> dict[str, Any]:
    """Trace one drawn scan; with a kind of `ground` named, one of the widest variety on it."""
    rng = np.random.default_rng(seed)
    look = None if ground is None else varied_look(rng, ground, "metal")
    band = (1.5, 5.0) if ground is not None and seed % 2 else None
    made = scan(rng, look=look, bodies=scatter(rng, 5, 140, 110, 1.5, band=band) if band else None)
    begun = time.process_time()
    traced = trace_scan(made.pixels, made.dpi)
    spent = time.process_time() - begun
    pairs, missed, invented = paired([o.polygon for o in traced.outlines], made.bodies)
    errors = [border_distance(f, t) for f, t in pairs]
    openings = sum(len(f.interiors) != len(t.interiors) for f, t in pairs)
    return _row(seed, errors, missed, invented, openings, traced.uncertainty_mm, spent)


def one_photo(seed: int) -> dict[str, Any]:
    """Trace one drawn photo; its frame is free, so every die is laid over the truth first."""
    bend = float(np.random.default_rng(seed).choice([0, 0, 0.01, -0.01]))
    made = photo(np.random.default_rng(seed), bend=bend)
    begun = time.process_time()
    try:
        traced = trace_photo(made.pixels)
    except FileError:
        return _row(seed, [], len(made.bodies), 0, 0, 0.0, time.process_time() - begun)
    spent = time.process_time() - begun
    left, errors = [o.polygon for o in traced.outlines], []
    for body in made.bodies:
        best = _laid(left, body)
        if best is not None:
            left.remove(best[0])
            errors.append(best[1])
    return _row(seed, errors, len(made.bodies) - len(errors), len(left), 0, traced.uncertainty_mm, spent)


def _laid(found: list[Polygon], body: Polygon) -> tuple[Polygon, tuple[float, float]] | None:
    alike = [f for f in found if abs(f.area - body.area) < 0.3 * body.area]
    tried = [(f, border_distance(laid_over(f, body), body)) for f in alike]
    best = min(tried, key=lambda t: t[1][0], default=None)
    return best if best is not None and best[1][0] < 3.0 else None


def _row(
    seed: int, errors: Errors, missed: int, invented: int, openings: int, said: float, spent: float
) -> dict[str, Any]:
    held = missed == 0 and bool(errors) and max(e[0] for e in errors) <= said
    return {"seed": seed, "errors": errors, "missed": missed, "invented": invented, "wrong_openings": openings,
            "uncertainty": said, "held": held, "seconds": spent}  # fmt: skip


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Percentiles over all dies of all pictures."""
    errors = np.array([e for r in rows for e in r["errors"]]).reshape(-1, 2)
    cuts = (
        {f"p{q}": round(float(np.percentile(errors[:, 0], q)), 3) for q in (50, 75, 90, 95, 100)} if len(errors) else {}
    )
    totals = {k: int(sum(r[k] for r in rows)) for k in ("missed", "invented", "wrong_openings")}
    held = round(float(np.mean([r["held"] for r in rows])), 3)
    seconds = round(float(np.median([r["seconds"] for r in rows])), 2)
    farthest = round(float(errors[:, 1].max(initial=0)), 2)
    counted = {"pictures": len(rows), "dies": len(errors), **cuts, "farthest": farthest, **totals}
    return {**counted, "uncertainty_held": held, "median_cpu_seconds": seconds}


def large_scan() -> dict[str, Any]:
    """A 600 dpi A4 scan with 20 dies: seconds of this process and its greatest memory."""
    made = scan(np.random.default_rng(5), width=210, height=297, dpi=600, count=20)
    begun, wall = time.process_time(), time.perf_counter()
    traced = trace_scan(made.pixels, 600)
    spent = {"cpu_seconds": round(time.process_time() - begun, 1), "seconds": round(time.perf_counter() - wall, 1)}
    pairs, missed, invented = paired([o.polygon for o in traced.outlines], made.bodies)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    return {**spent, "dies": len(pairs), "missed": missed, "invented": invented, "peak_gb_with_maker": round(memory, 2)}


def main() -> None:
    """Run the pictures asked for and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scans", type=int, default=100)
    parser.add_argument("--varied", type=int, default=10, help="scans of the widest variety on each kind of ground")
    parser.add_argument("--photos", type=int, default=100)
    parser.add_argument("--large", action="store_true", help="also an A4 page at 600 dpi")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--once", action="store_true", help="one scan and one photo: does it still run?")
    args = parser.parse_args()
    if args.once:
        args.scans, args.varied, args.photos = 1, 0, 1
    rows = {
        "scans": [one_scan(s) for s in range(args.scans)],
        **{f"scans, {g} ground": [one_scan(2000 + s, g) for s in range(args.varied)] for g in GROUNDS},
        "photos": [one_photo(1000 + s) for s in range(args.photos)],
    }
    told: dict[str, Any] = {kind: summary(r) for kind, r in rows.items() if r}
    if args.large:
        told["large"] = large_scan()
    print(json.dumps(told, indent=1))
    if args.out:
        args.out.write_text(json.dumps({"summary": told, "rows": rows}, default=float))


if __name__ == "__main__":
    main()
