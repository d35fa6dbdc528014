"""Downhill on all poses at once, and on one alone.

The joint descent is the limited-memory quasi-Newton method (Nocedal, Mathematics of Computation 35 (1980) 773-782)
with a backtracking line search; turns are scaled by half a shape's radius, so that a step in any coordinate moves
metal about equally far.
"""

# mypy: disable-error-code="no-untyped-def,no-untyped-call,type-arg"

from __future__ import annotations

import numpy as np

from layout.geometry.compiled import compiled
from layout.nesting.energy import COS, SIN, X, Y, frame_energy, place, total_energy
from layout.nesting.scene import FIXED, METAL, MOVES, NONE, REACH, TURNS

MEMORY = 8
LONGEST_STEP = 4.0
DONE = 1e-7


@compiled
def place_all(stands, poses, world):
    """Work out every frame's pose on the plate; frames below come first."""
    for f in range(stands.shape[0]):
        place(stands, poses, world, f)


@compiled
def turn_scale(scene, f):
    """How far (mm) metal moves when a frame turns by one radian, about."""
    shape = scene.frames[f, METAL]
    return max(1.0, 0.6 * scene.shapes[shape, REACH])


@compiled
def gradient(scene, stands, world, push, grad):
    """Turn pushes on the plate into a gradient in each frame's own coordinates."""
    for f in range(stands.shape[0] - 1, -1, -1):
        b = stands[f, 0]
        px, py, torque = push[f, 0], push[f, 1], push[f, 2]
        if b != NONE:
            push[b, 0] += px
            push[b, 1] += py
            push[b, 2] += torque + (world[f, X] - world[b, X]) * py - (world[f, Y] - world[b, Y]) * px
            px, py = world[b, COS] * px + world[b, SIN] * py, world[b, COS] * py - world[b, SIN] * px
        moves = scene.frames[f, MOVES]
        grad[3 * f] = 0.0 if moves == FIXED else px
        grad[3 * f + 1] = 0.0 if moves == FIXED else py
        grad[3 * f + 2] = torque / turn_scale(scene, f) if moves == TURNS else 0.0


@compiled
def step_to(scene, start, direction, length, poses):
    """Set poses to `start` moved along a direction."""
    for f in range(poses.shape[0]):
        if scene.frames[f, MOVES] == FIXED:
            continue
        poses[f, 0] = start[f, 0] + length * direction[3 * f]
        poses[f, 1] = start[f, 1] + length * direction[3 * f + 1]
        poses[f, 2] = start[f, 2] + length * direction[3 * f + 2] / turn_scale(scene, f)


@compiled
def copy_rows(source, into):
    """Copy a table of numbers, row by row."""
    for f in range(source.shape[0]):
        for k in range(source.shape[1]):
            into[f, k] = source[f, k]


@compiled
def dot(a, b):
    """The inner product; written out, since a loop compiles faster than an array expression and runs as fast."""
    total = 0.0
    for k in range(a.shape[0]):
        total += a[k] * b[k]
    return total


@compiled
def add_scaled(into, factor, what):
    """Add a multiple of one vector to another."""
    for k in range(into.shape[0]):
        into[k] += factor * what[k]


@compiled
def set_scaled(into, factor, what):
    """Make a vector a multiple of another (or of itself)."""
    for k in range(into.shape[0]):
        into[k] = factor * what[k]


@compiled
def largest_of(a):
    """The largest absolute entry."""
    most = 0.0
    for k in range(a.shape[0]):
        most = max(most, abs(a[k]))
    return most


@compiled
def two_loops(grad, steps, changes, rhos, held, newest, direction):
    """Nocedal's two loops: `direction` becomes minus the inverse Hessian's estimate times the gradient."""
    set_scaled(direction, 1.0, grad)
    alphas = np.zeros(MEMORY)
    for k in range(held):
        i = (newest - k) % MEMORY
        alphas[i] = rhos[i] * dot(steps[i], direction)
        add_scaled(direction, -alphas[i], changes[i])
    if held > 0:
        set_scaled(direction, 1.0 / (rhos[newest] * dot(changes[newest], changes[newest])), direction)
    for k in range(held - 1, -1, -1):
        i = (newest - k) % MEMORY
        add_scaled(direction, alphas[i] - rhos[i] * dot(changes[i], direction), steps[i])
    set_scaled(direction, -1.0, direction)


@compiled
def settle(scene, stands, poses, world, weights, slack, iterations, each):
    """Descend on all poses at once; returns the weighted energy reached, `each` holds its unweighted parts."""
    n = poses.shape[0]
    push, out = np.zeros((n, 3)), np.zeros(8)
    grad, fresh, direction = np.zeros(3 * n), np.zeros(3 * n), np.zeros(3 * n)
    steps, changes, rhos = np.zeros((MEMORY, 3 * n)), np.zeros((MEMORY, 3 * n)), np.zeros(MEMORY)
    start = poses.copy()
    held, newest = 0, -1
    place_all(stands, poses, world)
    energy = total_energy(scene, stands, world, weights, slack, each, push, out)
    gradient(scene, stands, world, push, grad)
    for _ in range(iterations):
        if energy < DONE:
            break
        two_loops(grad, steps, changes, rhos, held, newest, direction)
        slope = dot(grad, direction)
        if slope > -1e-14:
            set_scaled(direction, -1.0, grad)
            slope = -dot(grad, grad)
            held = 0
            if slope > -1e-14:
                break
        largest = largest_of(direction)
        length = 1.0 if held > 0 else min(1.0, 0.5 / (largest + 1e-12))
        length = min(length, LONGEST_STEP / (largest + 1e-12))
        copy_rows(poses, start)
        reached = energy
        for _attempt in range(12):
            step_to(scene, start, direction, length, poses)
            place_all(stands, poses, world)
            reached = total_energy(scene, stands, world, weights, slack, each, push, out)
            if reached <= energy + 1e-4 * length * slope:
                break
            length *= 0.4
        if reached >= energy:
            step_to(scene, start, direction, 0.0, poses)
            place_all(stands, poses, world)
            energy = total_energy(scene, stands, world, weights, slack, each, push, out)
            break
        gradient(scene, stands, world, push, fresh)
        bend = length * (dot(direction, fresh) - slope)
        if bend > 1e-12:
            newest = (newest + 1) % MEMORY
            held = min(held + 1, MEMORY)
            set_scaled(steps[newest], length, direction)
            set_scaled(changes[newest], 1.0, fresh)
            add_scaled(changes[newest], -1.0, grad)
            rhos[newest] = 1.0 / bend
        else:
            held = 0
        if energy - reached < 1e-5 * energy:
            energy = reached
            break
        energy = reached
        set_scaled(grad, 1.0, fresh)
    return energy


@compiled
def settle_one(scene, stands, poses, world, weights, slack, f, iterations):
    """Descend on one frame's pose alone (a die: nothing stands on it); returns the weighted energy about it."""
    push, out, fresh = np.zeros(3), np.zeros(8), np.zeros(3)
    place(stands, poses, world, f)
    energy = frame_energy(scene, stands, world, weights, slack, f, 1e300, push, out)
    scale = turn_scale(scene, f)
    turns = scene.frames[f, MOVES] == TURNS
    length = 0.0
    b = stands[f, 0]
    for _ in range(iterations):
        if energy < DONE:
            break
        gx, gy = push[0], push[1]
        if b != NONE:
            gx, gy = world[b, COS] * gx + world[b, SIN] * gy, world[b, COS] * gy - world[b, SIN] * gx
        gt = push[2] / scale if turns else 0.0
        size = np.sqrt(gx * gx + gy * gy + gt * gt)
        if size < 1e-10:
            break
        if length == 0.0:
            length = min(3.0, energy / size)
        x, y, t = poses[f, 0], poses[f, 1], poses[f, 2]
        better = False
        for _attempt in range(4):
            poses[f, 0], poses[f, 1] = x - length * gx / size, y - length * gy / size
            poses[f, 2] = t - length * gt / size / scale
            place(stands, poses, world, f)
            reached = frame_energy(scene, stands, world, weights, slack, f, energy, fresh, out)
            if reached < energy:
                better = True
                break
            length *= 0.35
        if not better:
            poses[f, 0], poses[f, 1], poses[f, 2] = x, y, t
            place(stands, poses, world, f)
            break
        gain = energy - reached
        energy = reached
        set_scaled(push, 1.0, fresh)
        length *= 1.6
        if gain < 1e-3 * energy:
            break
    return energy
