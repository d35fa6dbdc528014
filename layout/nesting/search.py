"""Separate a heap: descend, weigh what stays in the way more heavily, lift the worst out and set it elsewhere.

Guided local search with rising pair weights and sampled relocations, after Gardeyn, Vanden Berghe and Wauters
(arXiv 2509.13329) and Umetani et al. (2009), joined to descent on all poses at once (see descent.py).
"""

# mypy: disable-error-code="no-untyped-def,no-untyped-call,type-arg"

from __future__ import annotations

import math

import numpy as np

from layout.geometry.compiled import compiled
from layout.nesting.descent import copy_rows, place_all, settle, settle_one
from layout.nesting.energy import COS, SIN, TURN, X, Y, frame_energy, place, second_frame, total_energy
from layout.nesting.scene import (
    BED,
    CARRIER,
    CUT,
    FIRST,
    FIXED,
    HOSTS0,
    HOSTS1,
    HULL0,
    HULL1,
    METAL,
    MOVES,
    NONE,
    ROLLERS,
    SHEET,
    TURNS,
    TURNS0,
    TURNS1,
)

CLEAR = 3e-4
SPREAD, NEAR, FINALISTS = 40, 16, 3
MANY_SHEETS, WIDE_SPREAD = 3, 120  # where a die may lie on one odd sheet of several, few throws hit a place for it
SHEET_THROWS = 48
SHEET_CHANCE = 0.2  # a sheet costs as much to move as twenty dies, and mostly the dies are what is wrong
PATIENCE = 60


@compiled
def hull_box(scene, shape, turn, box):
    """The bounds of a shape's hull at a turn, written to `box`."""
    c, s = math.cos(turn), math.sin(turn)
    box[0] = box[1] = 1e300
    box[2] = box[3] = -1e300
    for p in range(int(scene.shapes[shape, HULL0]), int(scene.shapes[shape, HULL1])):
        x = c * scene.points[p, 0] - s * scene.points[p, 1]
        y = s * scene.points[p, 0] + c * scene.points[p, 1]
        box[0], box[1] = min(box[0], x), min(box[1], y)
        box[2], box[3] = max(box[2], x), max(box[3], y)


@compiled
def between(low, high):
    """A random number in a range; the middle of it where the range is empty."""
    if high <= low:
        return 0.5 * (low + high)
    return low + np.random.random() * (high - low)


@compiled
def random_turn(scene, f, turn):
    """A random turn that a frame may have; where it may have any, mostly one of those it likes, if it likes some."""
    t0, t1 = scene.frames[f, TURNS0], scene.frames[f, TURNS1]
    free = scene.frames[f, MOVES] == TURNS
    if t1 > t0 and (not free or np.random.random() < 0.85):
        return scene.lists[t0 + np.random.randint(t1 - t0)]
    return np.random.random() * 2 * math.pi if free else turn


@compiled
def scatter_die(scene, stands, poses, world, f, box):
    """Throw a die anywhere on the bed, or on its sheet where that is the smaller place."""
    h0, h1 = scene.frames[f, HOSTS0], scene.frames[f, HOSTS1]
    if h1 > h0:
        stands[f, :] = int(scene.sheets[int(scene.lists[h0 + np.random.randint(h1 - h0)]), CARRIER])
    b = stands[f, 0]
    turn = random_turn(scene, f, poses[f, 2])
    poses[f, 2] = turn
    under = world[b, TURN] if b != NONE else 0.0
    hull_box(scene, scene.frames[f, METAL], turn + under, box)
    x0, x1 = scene.boxes[BED, 0] - box[0], scene.boxes[BED, 2] - box[2]
    y0, y1 = scene.boxes[BED, 1] - box[1], scene.boxes[BED, 3] - box[3]
    if b == NONE:
        poses[f, 0], poses[f, 1] = between(x0, x1), between(y0, y1)
        return
    if scene.frames[f, CUT] != NONE:
        paper = scene.frames[b, METAL]
        hull_box(scene, scene.frames[f, CUT], turn, box)
        c0, c1, c2, c3 = box[0], box[1], box[2], box[3]
        hull_box(scene, paper, 0.0, box)
        sx0, sx1, sy0, sy1 = box[0] - c0, box[2] - c2, box[1] - c1, box[3] - c3
        if max(0.0, sx1 - sx0) * max(0.0, sy1 - sy0) < max(0.0, x1 - x0) * max(0.0, y1 - y0):
            poses[f, 0], poses[f, 1] = between(sx0, sx1), between(sy0, sy1)
            return
    dx, dy = between(x0, x1) - world[b, X], between(y0, y1) - world[b, Y]
    poses[f, 0] = world[b, COS] * dx + world[b, SIN] * dy
    poses[f, 1] = world[b, COS] * dy - world[b, SIN] * dx


@compiled
def scatter_sheet(scene, poses, f, box):
    """Throw a sheet anywhere in the rollers."""
    poses[f, 2] = random_turn(scene, f, poses[f, 2])
    hull_box(scene, scene.frames[f, METAL], poses[f, 2], box)
    poses[f, 0] = between(scene.boxes[ROLLERS, 0] - box[0], scene.boxes[ROLLERS, 2] - box[2])
    poses[f, 1] = between(scene.boxes[ROLLERS, 1] - box[1], scene.boxes[ROLLERS, 3] - box[3])


@compiled
def nudge(scene, poses, f, by):
    """Move a frame a little, at random, by about `by` mm."""
    poses[f, 0] += by * np.random.normal()
    poses[f, 1] += by * np.random.normal()
    if scene.frames[f, MOVES] == TURNS:
        poses[f, 2] += by * np.random.normal() / 20.0
    elif np.random.random() < 0.3:
        poses[f, 2] = random_turn(scene, f, poses[f, 2])


@compiled
def keep_best(pool, energies, pose, host, energy):
    """Put a candidate in the pool if it is among the best; the pool is sorted, best first."""
    k = energies.shape[0] - 1
    if energy >= energies[k]:
        return
    while k > 0 and energies[k - 1] > energy:
        energies[k] = energies[k - 1]
        pool[k] = pool[k - 1]
        k -= 1
    energies[k] = energy
    pool[k, 0], pool[k, 1], pool[k, 2], pool[k, 3] = pose[0], pose[1], pose[2], host


@compiled
def relocate(scene, stands, poses, world, weights, slack, f):
    """Set one die where it is least in the way: sample widely and nearby, then descend from the best samples."""
    push, out, box = np.zeros(3), np.zeros(8), np.zeros(4)
    old = poses[f].copy()
    old_host = stands[f, 1]
    place(stands, poses, world, f)
    was = frame_energy(scene, stands, world, weights, slack, f, 1e300, push, out)
    pool, energies = np.zeros((FINALISTS, 4)), np.full(FINALISTS, 1e300)
    spread = SPREAD if scene.sheets.shape[0] < MANY_SHEETS else WIDE_SPREAD
    for k in range(spread + NEAR):
        if k < spread:
            scatter_die(scene, stands, poses, world, f, box)
        else:
            stands[f, :] = old_host
            poses[f] = old
            nudge(scene, poses, f, 1.5 + 6.0 * np.random.random())
        place(stands, poses, world, f)
        energy = frame_energy(scene, stands, world, weights, slack, f, energies[FINALISTS - 1], push, out)
        keep_best(pool, energies, poses[f], stands[f, 1], energy)
    best = was
    best_pose, best_host = old, old_host
    for k in range(FINALISTS):
        if energies[k] >= 1e299:
            break
        poses[f, 0], poses[f, 1], poses[f, 2] = pool[k, 0], pool[k, 1], pool[k, 2]
        stands[f, :] = int(pool[k, 3])
        energy = settle_one(scene, stands, poses, world, weights, slack, f, 14)
        if energy < best:
            best = energy
            best_pose = poses[f].copy()
            best_host = stands[f, 1]
    poses[f] = best_pose
    stands[f, :] = best_host
    place(stands, poses, world, f)
    return best < was


@compiled
def relocate_sheet(scene, stands, poses, world, weights, slack, f, each):
    """Set a sheet, with all that lies on it, where it is least in the way; settle the best throws before choosing."""
    n = poses.shape[0]
    push, out, box = np.zeros((n, 3)), np.zeros(8), np.zeros(4)
    pool, energies = np.zeros((FINALISTS, 4)), np.full(FINALISTS, 1e300)
    before, chosen = poses.copy(), poses.copy()
    place_all(stands, poses, world)
    best = total_energy(scene, stands, world, weights, slack, each, push, out)
    for k in range(SHEET_THROWS):
        if k % 4:
            scatter_sheet(scene, poses, f, box)
        else:
            copy_rows(before, poses)
            nudge(scene, poses, f, 4.0)
        place_all(stands, poses, world)
        energy = total_energy(scene, stands, world, weights, slack, each, push, out)
        keep_best(pool, energies, poses[f], NONE, energy)
    for k in range(FINALISTS):
        copy_rows(before, poses)
        for c in range(3):
            poses[f, c] = pool[k, c]
        energy = settle(scene, stands, poses, world, weights, slack, 12, each)
        if energy < best:
            best = energy
            copy_rows(poses, chosen)
    copy_rows(chosen, poses)
    place_all(stands, poses, world)


@compiled
def reweigh(weights, each):
    """Raise the weights of what is still in the way, most where it is worst; let the others fade."""
    worst = 1e-12
    for d in range(each.shape[0]):
        worst = max(worst, each[d])
    for d in range(each.shape[0]):
        if each[d] > CLEAR:
            weights[d] *= 1.2 + 0.8 * math.sqrt(each[d] / worst)
        else:
            weights[d] = max(1.0, 0.95 * weights[d])


@compiled
def is_clear(each):
    """Whether nothing stands in the way any more, to within the slack."""
    return np.max(each) <= CLEAR if each.shape[0] > 0 else True


@compiled
def shuffle_all(scene, stands, poses, world):
    """Throw everything anew."""
    box = np.zeros(4)
    for f in range(poses.shape[0]):
        if scene.frames[f, MOVES] != FIXED:
            if scene.frames[f, SHEET] != NONE:
                scatter_sheet(scene, poses, f, box)
            else:
                scatter_die(scene, stands, poses, world, f, box)
        place(stands, poses, world, f)


@compiled
def swap_two(scene, stands, poses, world):
    """Let two dies change places."""
    n = poses.shape[0]
    for _ in range(20):
        a, b = np.random.randint(n), np.random.randint(n)
        if a == b or scene.frames[a, SHEET] != NONE or scene.frames[b, SHEET] != NONE:
            continue
        if scene.frames[a, MOVES] == FIXED or scene.frames[b, MOVES] == FIXED or stands[a, 0] != stands[b, 0]:
            continue
        for k in range(2):
            poses[a, k], poses[b, k] = poses[b, k], poses[a, k]
        poses[a, 2] = random_turn(scene, a, poses[a, 2])
        poses[b, 2] = random_turn(scene, b, poses[b, 2])
        break
    place_all(stands, poses, world)


@compiled
def lift_worst(scene, stands, poses, world, weights, slack, each):
    """Relocate every frame that is in the way, in random order."""
    n = poses.shape[0]
    bad = np.zeros(n)
    for d in range(each.shape[0]):
        if each[d] > CLEAR:
            bad[int(scene.demands[d, FIRST])] = 1.0
            g = second_frame(scene, stands, d)
            if g != NONE:
                bad[g] = 1.0
    for f in np.random.permutation(n):
        if bad[f] == 0.0 or scene.frames[f, MOVES] == FIXED:
            continue
        if scene.frames[f, SHEET] != NONE:
            if np.random.random() < SHEET_CHANCE:
                relocate_sheet(scene, stands, poses, world, weights, slack, f, each)
        else:
            relocate(scene, stands, poses, world, weights, slack, f)


@compiled
def separate(scene, stands, poses, seed, rounds, slack, fresh, stop):
    """Search for poses in which every demand holds with `slack` mm to spare.

    `stands` and `poses` hold the start and, afterwards, the best found; `fresh`: throw everything first; `stop[0]`
    ends the search when set. Returns (rounds used, least unweighted energy); nothing is in the way where it is 0.
    """
    np.random.seed(seed)
    n, m = poses.shape[0], scene.demands.shape[0]
    world, each, weights = np.zeros((n, 5)), np.zeros(m), np.ones(m)
    place_all(stands, poses, world)
    if fresh:
        shuffle_all(scene, stands, poses, world)
    else:
        push, out = np.zeros((n, 3)), np.zeros(8)
        total_energy(scene, stands, world, weights, slack, each, push, out)
        lift_worst(scene, stands, poses, world, weights, slack, each)
    best, best_poses, best_stands = 1e300, poses.copy(), stands.copy()
    lately, idle = 1e300, 0
    for turn in range(rounds):
        settle(scene, stands, poses, world, weights, slack, 40, each)
        energy = np.sum(each)
        if energy < best:
            best = energy
            best_poses[:] = poses
            best_stands[:] = stands
        if is_clear(each):
            best_poses[:] = poses
            best_stands[:] = stands
            poses[:] = best_poses
            return turn + 1, 0.0
        if stop[0] != 0:
            break
        idle = 0 if energy < 0.98 * lately else idle + 1
        lately = min(lately, energy)
        if idle >= PATIENCE:
            idle, lately = 0, 1e300
            weights[:] = 1.0
            if np.random.random() < 0.3:
                shuffle_all(scene, stands, poses, world)
            else:
                poses[:] = best_poses
                stands[:] = best_stands
                swap_two(scene, stands, poses, world)
        reweigh(weights, each)
        lift_worst(scene, stands, poses, world, weights, slack, each)
    poses[:] = best_poses
    stands[:] = best_stands
    return rounds, best
