"""Pulling apart pieces that only slide and turn by steps: the search for strips.

Guided local search with rising pair weights and sampled relocations as in search.py, but over depths looked up in
fields of no-fit polygons (see nofit.py): a look costs a few nanoseconds. Joint descent on summed squared depths:
Imamichi, Yagiura, Nagamochi, Discrete Optimization 6 (2009) 345-361; single pieces by Gauss-Newton steps.
"""

# mypy: disable-error-code="no-untyped-def,no-untyped-call,type-arg"

from __future__ import annotations

import numpy as np

from layout.geometry.compiled import compiled, inlined
from layout.nesting.descent import MEMORY, add_scaled, copy_rows, dot, largest_of, set_scaled, two_loops
from layout.nesting.nofit import COLUMNS, GRID_X, GRID_Y, OFFSET, ROWS, STEP

FINALISTS = 3
SOFT = 0.1


@inlined
def look(spans, table, turns, grids, fields, a, b, dx, dy):
    """Depth at which form `b`, displaced by (dx, dy), stands in form `a`, and its slope along the displacement."""
    depth = sx = sy = 0.0
    if (
        dx + spans[b, 0] < spans[a, 2]
        and dx + spans[b, 2] > spans[a, 0]
        and dy + spans[b, 1] < spans[a, 3]
        and dy + spans[b, 3] > spans[a, 1]
    ):
        c, s, m = turns[a, b, 0], turns[a, b, 1], table[a, b]
        inv = 1.0 / grids[m, STEP]
        gx, gy = (c * dx + s * dy - grids[m, GRID_X]) * inv, (c * dy - s * dx - grids[m, GRID_Y]) * inv
        nx = int(grids[m, COLUMNS])
        if gx >= 0.0 and gy >= 0.0 and gx < nx - 1 and gy < grids[m, ROWS] - 1:
            i, j = int(gx), int(gy)
            u, v = gx - i, gy - j
            k = int(grids[m, OFFSET]) + j * nx + i
            f00, f10 = fields[k], fields[k + 1]
            f01, f11 = fields[k + nx], fields[k + nx + 1]
            low, high = f00 + u * (f10 - f00), f01 + u * (f11 - f01)
            depth = low + v * (high - low)
            if depth > 0.0:
                tx, ty = ((f10 - f00) * (1 - v) + (f11 - f01) * v) * inv, (high - low) * inv
                sx, sy = c * tx - s * ty, s * tx + c * ty
            else:
                depth = 0.0
    return depth, sx, sy


@compiled
def clamp(forms, form, x, y, length, height):
    """The nearest place at which a form lies in the strip."""
    x = min(max(x, -forms.spans[form, 0]), length - forms.spans[form, 2])
    return x, min(max(y, -forms.spans[form, 1]), height - forms.spans[form, 3])


@compiled
def total(forms, at, poses, weights, depths, grad):
    """Weighted sum of squared depths; writes each pair's depth and the gradient over (x, y) of all pieces."""
    spans, table, turns, grids, fields = forms.spans, forms.table, forms.turns, forms.grids, forms.fields
    n = poses.shape[0]
    grad[:] = 0.0
    energy = 0.0
    for i in range(n):
        for j in range(i):
            dx, dy = poses[j, 0] - poses[i, 0], poses[j, 1] - poses[i, 1]
            d, sx, sy = look(spans, table, turns, grids, fields, at[i], at[j], dx, dy)
            depths[i, j] = d
            if d > 0.0:
                w = weights[i, j]
                energy += w * d * d
                p = 2.0 * w * d
                grad[2 * j] += p * sx
                grad[2 * j + 1] += p * sy
                grad[2 * i] -= p * sx
                grad[2 * i + 1] -= p * sy
    return energy


@compiled
def cost_at(forms, at, poses, weights, i, form, x, y, enough, fit):
    """Weighted depths about one piece set at (x, y); `fit` gets gradient and matrix of reweighted least squares."""
    spans, table, turns, grids, fields = forms.spans, forms.table, forms.turns, forms.grids, forms.fields
    energy = gx = gy = xx = xy = yy = 0.0
    for j in range(poses.shape[0]):
        if j == i:
            continue
        d, sx, sy = look(spans, table, turns, grids, fields, at[j], form, x - poses[j, 0], y - poses[j, 1])
        if d > 0.0:
            w = weights[i, j]
            energy += w * d
            if energy > enough:
                return energy
            gx += w * sx
            gy += w * sy
            bend = w / (d + SOFT)
            xx += bend * sx * sx
            xy += bend * sx * sy
            yy += bend * sy * sy
    fit[0], fit[1], fit[2], fit[3], fit[4] = gx, gy, xx, xy, yy
    return energy


@compiled
def refine(forms, at, poses, weights, i, form, place, length, height, fit, tried):
    """Gauss-Newton steps on one piece from `place` (x, y, written back); returns the energy reached."""
    x, y = place[0], place[1]
    energy = cost_at(forms, at, poses, weights, i, form, x, y, 1e300, fit)
    damp = 0.05
    for _ in range(14):
        if energy <= 1e-6:
            break
        m = damp * (fit[2] + fit[4]) + 1e-9
        a, b, c = fit[2] + m, fit[3], fit[4] + m
        det = a * c - b * b
        nx, ny = clamp(
            forms, form, x - (c * fit[0] - b * fit[1]) / det, y - (a * fit[1] - b * fit[0]) / det, length, height
        )
        reached = cost_at(forms, at, poses, weights, i, form, nx, ny, energy, tried)
        if reached < energy:
            gain = energy - reached
            x, y, energy = nx, ny, reached
            for k in range(5):
                fit[k] = tried[k]
            damp = max(0.02, 0.3 * damp)
            if gain < 0.003 * energy:
                break
        else:
            damp = 4.0 * damp + 0.02
            if damp > 20.0:
                break
    place[0], place[1] = x, y
    return energy


@compiled
def throw(forms, form, length, height, place):
    """Anywhere in the strip."""
    x0, y0, x1, y1 = forms.spans[form, 0], forms.spans[form, 1], forms.spans[form, 2], forms.spans[form, 3]
    place[0] = -x0 + np.random.random() * max(0.0, length - x1 + x0)
    place[1] = -y0 + np.random.random() * max(0.0, height - y1 + y0)


@compiled
def relocate(forms, kinds, at, poses, weights, i, length, height, throws):
    """Set one piece where it is least in the way: throws all over and nearby, descent from the best few."""
    fit, tried, place = np.zeros(5), np.zeros(5), np.zeros(2)
    f0, f1 = forms.first[kinds[i]], forms.first[kinds[i] + 1]
    was = cost_at(forms, at, poses, weights, i, at[i], poses[i, 0], poses[i, 1], 1e300, fit)
    pool, worth = np.zeros((FINALISTS, 3)), np.full(FINALISTS, 1e300)
    near = throws // 3
    for k in range(throws):
        form = f0 + np.random.randint(f1 - f0)
        if k < near:
            reach = 12.0 * np.random.random() ** 2
            if k % 2:
                form = at[i]
            x, y = poses[i, 0] + reach * np.random.normal(), poses[i, 1] + reach * np.random.normal()
            place[0], place[1] = clamp(forms, form, x, y, length, height)
        else:
            throw(forms, form, length, height, place)
        energy = cost_at(forms, at, poses, weights, i, form, place[0], place[1], worth[FINALISTS - 1], fit)
        if energy < worth[FINALISTS - 1]:
            m = FINALISTS - 1
            while m > 0 and worth[m - 1] > energy:
                worth[m] = worth[m - 1]
                pool[m, 0], pool[m, 1], pool[m, 2] = pool[m - 1, 0], pool[m - 1, 1], pool[m - 1, 2]
                m -= 1
            worth[m] = energy
            pool[m, 0], pool[m, 1], pool[m, 2] = place[0], place[1], form
    best, bx, by, bf = was, poses[i, 0], poses[i, 1], at[i]
    for m in range(FINALISTS + 1):
        if m == FINALISTS:
            form = at[i]
            place[0], place[1] = poses[i, 0], poses[i, 1]
        else:
            if worth[m] > 1e299:
                continue
            form = int(pool[m, 2])
            place[0], place[1] = pool[m, 0], pool[m, 1]
        energy = refine(forms, at, poses, weights, i, form, place, length, height, fit, tried)
        if energy < best:
            best, bx, by, bf = energy, place[0], place[1], form
    poses[i, 0], poses[i, 1] = bx, by
    at[i] = bf
    return best < was


@compiled
def settle(forms, at, poses, weights, depths, length, height, iterations):
    """Descend on all pieces at once, kept within the strip; returns the weighted energy reached."""
    n = poses.shape[0]
    grad, fresh, direction = np.zeros(2 * n), np.zeros(2 * n), np.zeros(2 * n)
    steps, changes, rhos = np.zeros((MEMORY, 2 * n)), np.zeros((MEMORY, 2 * n)), np.zeros(MEMORY)
    start, moved = poses.copy(), np.zeros(2 * n)
    held, newest = 0, -1
    energy = total(forms, at, poses, weights, depths, grad)
    for _ in range(iterations):
        if energy < 1e-9:
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
        size = 1.0 if held > 0 else min(1.0, 0.5 / (largest + 1e-12))
        size = min(size, 4.0 / (largest + 1e-12))
        copy_rows(poses, start)
        reached = energy
        for _attempt in range(8):
            for i in range(n):
                x, y = start[i, 0] + size * direction[2 * i], start[i, 1] + size * direction[2 * i + 1]
                poses[i, 0], poses[i, 1] = clamp(forms, at[i], x, y, length, height)
            reached = total(forms, at, poses, weights, depths, fresh)
            if reached < energy:
                break
            size *= 0.4
        if reached >= energy:
            copy_rows(start, poses)
            energy = total(forms, at, poses, weights, depths, grad)
            if held == 0:
                break
            held = 0
            continue
        for i in range(n):
            moved[2 * i], moved[2 * i + 1] = poses[i, 0] - start[i, 0], poses[i, 1] - start[i, 1]
        add_scaled(grad, -1.0, fresh)
        bend = -dot(moved, grad)
        if bend > 1e-12:
            newest = (newest + 1) % MEMORY
            held = min(held + 1, MEMORY)
            set_scaled(steps[newest], 1.0, moved)
            set_scaled(changes[newest], -1.0, grad)
            rhos[newest] = 1.0 / bend
        else:
            held = 0
        gain = energy - reached
        energy = reached
        set_scaled(grad, 1.0, fresh)
        if gain < 1e-4 * energy:
            break
    return energy


@compiled
def reweigh(weights, depths):
    """Raise the weights of pairs in the way, most where deepest; let the others fade. Returns the deepest depth."""
    n = depths.shape[0]
    worst = 1e-12
    for i in range(n):
        for j in range(i):
            worst = max(worst, depths[i, j])
    for i in range(n):
        for j in range(i):
            if depths[i, j] > 0.0:
                w = weights[i, j] * (1.2 + 0.8 * depths[i, j] / worst)
            else:
                w = max(1.0, 0.95 * weights[i, j])
            weights[i, j] = weights[j, i] = w
    return worst


@compiled
def scatter(forms, kinds, at, poses, length, height, seed):
    """Throw every piece anywhere, in any of its turns."""
    np.random.seed(seed)
    for i in range(poses.shape[0]):
        f0, f1 = forms.first[kinds[i]], forms.first[kinds[i] + 1]
        at[i] = f0 + np.random.randint(f1 - f0)
        throw(forms, at[i], length, height, poses[i])


@compiled
def swap_two(forms, kinds, at, poses, large):
    """Let two of the larger pieces of different shape change places."""
    for _ in range(30):
        i, j = large[np.random.randint(large.shape[0])], large[np.random.randint(large.shape[0])]
        if kinds[i] == kinds[j]:
            continue
        a, b = at[i], at[j]
        xa = poses[i, 0] + 0.5 * (forms.spans[a, 0] + forms.spans[a, 2])
        ya = poses[i, 1] + 0.5 * (forms.spans[a, 1] + forms.spans[a, 3])
        xb = poses[j, 0] + 0.5 * (forms.spans[b, 0] + forms.spans[b, 2])
        yb = poses[j, 1] + 0.5 * (forms.spans[b, 1] + forms.spans[b, 3])
        at[i] = forms.first[kinds[i]] + np.random.randint(forms.first[kinds[i] + 1] - forms.first[kinds[i]])
        at[j] = forms.first[kinds[j]] + np.random.randint(forms.first[kinds[j] + 1] - forms.first[kinds[j]])
        a, b = at[i], at[j]
        poses[i, 0] = xb - 0.5 * (forms.spans[a, 0] + forms.spans[a, 2])
        poses[i, 1] = yb - 0.5 * (forms.spans[a, 1] + forms.spans[a, 3])
        poses[j, 0] = xa - 0.5 * (forms.spans[b, 0] + forms.spans[b, 2])
        poses[j, 1] = ya - 0.5 * (forms.spans[b, 1] + forms.spans[b, 3])
        break


@compiled
def part(forms, kinds, at, poses, length, height, seed, rounds, patience, throws, clear, large, swaps, stop):
    """Search for places in which no two pieces stand deeper than `clear` in each other.

    `at` (forms) and `poses` hold the start and, afterwards, the best found; `swaps` large pairs change places first.
    Ends after `rounds`, after `patience` rounds without gain, or when `stop[0]` is set.
    Returns (rounds used, deepest, sum).
    """
    np.random.seed(seed)
    n = poses.shape[0]
    weights, depths = np.ones((n, n)), np.zeros((n, n))
    for _ in range(swaps):
        swap_two(forms, kinds, at, poses, large)
    for i in range(n):
        poses[i, 0], poses[i, 1] = clamp(forms, at[i], poses[i, 0], poses[i, 1], length, height)
    best, best_deep, best_at, best_poses = 1e300, 1e300, at.copy(), poses.copy()
    idle, used = 0, 0
    for turn in range(rounds):
        used = turn + 1
        settle(forms, at, poses, weights, depths, length, height, 40)
        energy, deep = 0.0, 0.0
        for i in range(n):
            for j in range(i):
                energy += depths[i, j]
                deep = max(deep, depths[i, j])
        if energy < 0.98 * best:
            idle = 0
        else:
            idle += 1
        if energy < best:
            best, best_deep = energy, deep
            best_at[:] = at
            best_poses[:] = poses
        if deep <= clear or stop[0] != 0 or idle > patience:
            break
        reweigh(weights, depths)
        order = np.random.permutation(n)
        for i in order:
            bad = False
            for j in range(n):
                if (depths[i, j] if j < i else depths[j, i]) > clear:
                    bad = True
                    break
            if bad:
                relocate(forms, kinds, at, poses, weights, i, length, height, throws)
    at[:] = best_at
    poses[:] = best_poses
    return used, best_deep, best
