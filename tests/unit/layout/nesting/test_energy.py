"""The energy's gradient against finite differences, and nothing in the way where everything is far apart."""

import numpy as np
import pytest
from shapely.geometry import Point, box

from layout.geometry.outline import Outline, from_polygon
from layout.nesting.descent import gradient, place_all, turn_scale
from layout.nesting.energy import total_energy
from layout.nesting.scene import APART, IN_BED, IN_ROLLERS, ON_SHEET, TURNS, SceneBuilder
from layout.nesting.solid import solid

SLACK = 0.1


def scene():
    """Two sheets with a stain, and two dies on each: every kind of demand."""
    build = SceneBuilder((0.0, 0.0, 100.0, 120.0), (-10.0, -10.0, 110.0, 130.0))
    paper = solid(Outline.rectangle(70, 60), 2.0)
    stain = solid(from_polygon(Point(50, 40).buffer(6)), 2.0)
    ring = solid(from_polygon(Point(0, 0).buffer(14, 4).difference(Point(0, 0).buffer(9))), 3.0)
    slip = solid(from_polygon(box(-11, -5, 11, 5)), 3.0)
    sheets = [build.frame(TURNS, paper) for _ in range(2)]
    for frame in sheets:
        build.sheet(frame, 2.0, [(stain, 0.0)])
        build.demand(IN_ROLLERS, frame)
    build.demand(APART, sheets[1], sheets[0], 0.0)
    dies = [
        build.frame(TURNS, s, s, sheets[k % 2], sheets[k % 2], hosts=(0, 1)) for k, s in enumerate((ring, slip) * 2)
    ]
    for k, die in enumerate(dies):
        build.demand(IN_BED, die)
        build.demand(ON_SHEET, die)
        for other in dies[:k]:
            build.demand(APART, die, other, 1.0)
    return build.build()


def energy_at(made, poses, weights):
    n, m = len(poses), len(made.demands)
    stands, world, each = made.stands(), np.zeros((n, 5)), np.zeros(m)
    push, grad = np.zeros((n, 3)), np.zeros(3 * n)
    place_all(stands, poses, world)
    energy = total_energy(made, stands, world, weights, SLACK, each, push, np.zeros(8))
    gradient(made, stands, world, push, grad)
    return energy, grad, each


def thrown(seed, made):
    """Poses all in each other's way; dies stay over their sheet's field, for beyond it only its main slope is told."""
    rng = np.random.default_rng(seed)
    poses = rng.uniform((-10, -10, -3), (70, 60, 3), (len(made.frames), 3))
    poses[2:, :2] = rng.uniform((14, 14), (56, 46), (len(poses) - 2, 2))
    return poses, rng.uniform(0.5, 3.0, len(made.demands))


@pytest.mark.parametrize("seed", range(5))
def test_gradient_is_the_slope(seed):
    """Against central differences; fields are bilinear, so the slope jumps a little at every cell's border."""
    made = scene()
    poses, weights = thrown(seed, made)
    energy, grad, each = energy_at(made, poses, weights)
    assert energy == pytest.approx(weights @ each)
    slope = np.zeros_like(grad)
    for k in range(poses.size):
        f, c = divmod(k, 3)
        step = 1e-5
        moved = [poses.copy(), poses.copy()]
        moved[0][f, c] -= step
        moved[1][f, c] += step
        low, high = (energy_at(made, p, weights)[0] for p in moved)
        slope[k] = (high - low) / (2 * step) / (turn_scale(made, f) if c == 2 else 1.0)
    assert np.linalg.norm(grad) > 1.0
    assert np.linalg.norm(grad - slope) < 0.01 * np.linalg.norm(slope)


def test_nothing_is_in_the_way_where_all_lie_well():
    made = scene()
    poses = np.array([[0, 0, 0], [0, 61, 0], [18, 18, 0], [18, 18, 0], [50, 18, 0], [18, 42, 0]], float)
    energy, grad, each = energy_at(made, poses, np.ones(len(made.demands)))
    assert (energy, np.abs(grad).max(), each.max()) == (0.0, 0.0, 0.0)
