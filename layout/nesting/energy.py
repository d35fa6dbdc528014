"""How badly the things on a bed are in each other's way, and which way each would have to go.

The measure is smooth: the squared depth by which border samples stand too deep in another's distance field, summed
along the border. It falls to nothing exactly when every clearance holds (up to the grid), so that descent on all
poses at once pulls a heap apart. The idea of separating by descent on summed squared penetration: Imamichi, Yagiura,
Nagamochi, Discrete Optimization 6 (2009) 345-361; on sampled distance fields: common in rigid-body simulation.
"""

# mypy: disable-error-code="no-untyped-def,no-untyped-call,type-arg"

from __future__ import annotations

import math

from layout.geometry.compiled import compiled, inlined
from layout.nesting.scene import (
    APART,
    AROUND0,
    AROUND1,
    BED,
    CARRIER,
    COLUMNS,
    CUT,
    EDGE,
    FIELD,
    FIRST,
    GAP,
    GRID_X,
    GRID_Y,
    HULL0,
    HULL1,
    IN_BED,
    KIND,
    MARKS0,
    MARKS1,
    METAL,
    MID_X,
    MID_Y,
    NONE,
    ON_SHEET,
    POINT0,
    POINT1,
    REACH,
    ROLLERS,
    ROWS,
    SECOND,
    SHEET,
    STEP,
)
from layout.nesting.solid import BLOCK

X, Y, COS, SIN, TURN = 0, 1, 2, 3, 4


@compiled
def place(stands, poses, world, f):
    """Work out a frame's pose on the plate from its pose on the frame below it."""
    turn = poses[f, 2]
    x, y = poses[f, 0], poses[f, 1]
    b = stands[f, 0]
    if b != NONE:
        c, s = world[b, COS], world[b, SIN]
        x, y = world[b, X] + c * x - s * y, world[b, Y] + s * x + c * y
        turn += world[b, TURN]
    world[f, X], world[f, Y], world[f, TURN] = x, y, turn
    world[f, COS], world[f, SIN] = math.cos(turn), math.sin(turn)


@compiled
def probe(scene, world, fa, sa, fb, sb, gap, side, out):
    """Test samples of shape `sa` against the field of `sb`; side 1: keep out by `gap`, side -1: stay in by `gap`.

    Returns the energy; adds to `out` the push on frame `fa` (x, y), the torque on `fa` and that on `fb`.
    """
    ca, na, xa, ya = world[fa, COS], world[fa, SIN], world[fa, X], world[fa, Y]
    cb, nb, xb, yb = world[fb, COS], world[fb, SIN], world[fb, X], world[fb, Y]
    c, s = ca * cb + na * nb, na * cb - ca * nb
    dx, dy = xa - xb, ya - yb
    tx, ty = cb * dx + nb * dy, cb * dy - nb * dx
    base, nx, ny = int(scene.shapes[sb, FIELD]), int(scene.shapes[sb, COLUMNS]), int(scene.shapes[sb, ROWS])
    x0, y0, step = scene.shapes[sb, GRID_X], scene.shapes[sb, GRID_Y], scene.shapes[sb, STEP]
    inv = 1.0 / step
    right, top = x0 + (nx - 1) * step, y0 + (ny - 1) * step
    energy = 0.0
    fx = fy = ta = tb = 0.0
    p0, p1 = int(scene.shapes[sa, POINT0]), int(scene.shapes[sa, POINT1])
    for block in range(p0 // BLOCK, p1 // BLOCK):
        bx, by, br = scene.blocks[block, 0], scene.blocks[block, 1], scene.blocks[block, 2]
        qx, qy = c * bx - s * by + tx, s * bx + c * by + ty
        if side > 0:
            if qx + br < x0 or qx - br > right or qy + br < y0 or qy - br > top:
                continue
            i, j = int((qx - x0) * inv), int((qy - y0) * inv)
            if 0 <= i < nx and 0 <= j < ny and scene.fields[base + j * nx + i] > gap + br + 1.5 * step:
                continue
        else:
            i, j = int((qx - x0) * inv), int((qy - y0) * inv)
            if 0 <= i < nx and 0 <= j < ny and scene.fields[base + j * nx + i] < -(gap + br + 1.5 * step):
                continue
        for p in range(block * BLOCK, block * BLOCK + BLOCK):
            ux, uy = scene.points[p, 0], scene.points[p, 1]
            px, py = c * ux - s * uy + tx, s * ux + c * uy + ty
            gx, gy = (px - x0) * inv, (py - y0) * inv
            beyond = 0.0
            if gx < 0.0 or gy < 0.0 or gx >= nx - 1 or gy >= ny - 1:
                if side > 0:
                    continue
                hx = min(max(gx, 0.0), nx - 1.001)
                hy = min(max(gy, 0.0), ny - 1.001)
                ex, ey = (gx - hx) * step, (gy - hy) * step
                beyond = math.sqrt(ex * ex + ey * ey)
                gx, gy = hx, hy
            i, j = int(gx), int(gy)
            u, v = gx - i, gy - j
            k = base + j * nx + i
            f00, f10 = scene.fields[k], scene.fields[k + 1]
            f01, f11 = scene.fields[k + nx], scene.fields[k + nx + 1]
            low, high = f00 + u * (f10 - f00), f01 + u * (f11 - f01)
            value = low + v * (high - low) + beyond
            depth = gap - value if side > 0 else value + gap
            if depth <= 0.0:
                continue
            if beyond > 0.0:
                slope_x, slope_y = ex / beyond, ey / beyond
            else:
                slope_x = ((f10 - f00) * (1 - v) + (f11 - f01) * v) * inv
                slope_y = (high - low) * inv
            share = scene.points[p, 2]
            energy += share * depth * depth
            pull = -side * 2.0 * share * depth
            wx, wy = pull * (cb * slope_x - nb * slope_y), pull * (nb * slope_x + cb * slope_y)
            fx += wx
            fy += wy
            rx, ry = ca * ux - na * uy, na * ux + ca * uy
            ta += rx * wy - ry * wx
            tb -= (rx + dx) * wy - (ry + dy) * wx
    out[0] += fx
    out[1] += fy
    out[2] += ta
    out[3] += tb
    return energy


@compiled
def confine(scene, world, f, shape, box, out):
    """Test a shape's hull against a box, exactly: what just fits, fits; returns the energy, adds push and torque."""
    c, s, x, y = world[f, COS], world[f, SIN], world[f, X], world[f, Y]
    energy = 0.0
    h0, h1 = int(scene.shapes[shape, HULL0]), int(scene.shapes[shape, HULL1])
    cx, cy, r = scene.shapes[shape, MID_X], scene.shapes[shape, MID_Y], scene.shapes[shape, REACH]
    mx, my = c * cx - s * cy + x, s * cx + c * cy + y
    if mx - r > box[0] and mx + r < box[2] and my - r > box[1] and my + r < box[3]:
        return 0.0
    share = 3.2 * r / (h1 - h0)
    for p in range(h0, h1):
        ux, uy = scene.points[p, 0], scene.points[p, 1]
        rx, ry = c * ux - s * uy, s * ux + c * uy
        ex = min(0.0, rx + x - box[0]) + max(0.0, rx + x - box[2])
        ey = min(0.0, ry + y - box[1]) + max(0.0, ry + y - box[3])
        energy += share * (ex * ex + ey * ey)
        wx, wy = 2 * share * ex, 2 * share * ey
        out[0] += wx
        out[1] += wy
        out[2] += rx * wy - ry * wx
    return energy


@inlined
def far_apart(scene, world, fa, sa, fb, sb, gap):
    """Whether two shapes are certainly more than `gap` apart by their circles."""
    ax = world[fa, COS] * scene.shapes[sa, MID_X] - world[fa, SIN] * scene.shapes[sa, MID_Y] + world[fa, X]
    ay = world[fa, SIN] * scene.shapes[sa, MID_X] + world[fa, COS] * scene.shapes[sa, MID_Y] + world[fa, Y]
    bx = world[fb, COS] * scene.shapes[sb, MID_X] - world[fb, SIN] * scene.shapes[sb, MID_Y] + world[fb, X]
    by = world[fb, SIN] * scene.shapes[sb, MID_X] + world[fb, COS] * scene.shapes[sb, MID_Y] + world[fb, Y]
    reach = scene.shapes[sa, REACH] + scene.shapes[sb, REACH] + gap
    return (ax - bx) * (ax - bx) + (ay - by) * (ay - by) >= reach * reach


@compiled
def keep_apart(scene, world, fa, sa, fb, sb, gap, out):
    """Energy of two shapes that must keep `gap` mm apart; adds push on `fa`, torques on `fa` and `fb` to `out`."""
    if far_apart(scene, world, fa, sa, fb, sb, gap):
        return 0.0
    energy = probe(scene, world, fa, sa, fb, sb, gap, 1, out)
    back = out[4:8]
    back[:] = 0.0
    energy += probe(scene, world, fb, sb, fa, sa, gap, 1, back)
    out[0] -= back[0]
    out[1] -= back[1]
    out[2] += back[3]
    out[3] += back[2]
    return energy


@compiled
def demand_energy(scene, stands, world, d, slack, out):
    """Energy of one demand (unweighted); `out` gets push on the first frame and torques on first and second."""
    out[:4] = 0.0
    kind, f = int(scene.demands[d, KIND]), int(scene.demands[d, FIRST])
    if kind == APART:
        g = int(scene.demands[d, SECOND])
        return keep_apart(
            scene, world, f, scene.frames[f, METAL], g, scene.frames[g, METAL], scene.demands[d, GAP] + slack, out
        )
    if kind == ON_SHEET:
        return sheet_energy(scene, world, f, scene.frames[stands[f, 1], SHEET], slack, out)
    box = scene.boxes[BED] if kind == IN_BED else scene.boxes[ROLLERS]
    return confine(scene, world, f, scene.frames[f, METAL], box, out)


@compiled
def sheet_energy(scene, world, f, sheet, slack, out):
    """Energy of a cut that must stay on a sheet and off its marks."""
    under, cut = int(scene.sheets[sheet, CARRIER]), scene.frames[f, CUT]
    shape = scene.frames[under, METAL]
    energy = probe(scene, world, f, cut, under, shape, scene.sheets[sheet, EDGE] + slack, -1, out)
    for m in range(int(scene.sheets[sheet, MARKS0]), int(scene.sheets[sheet, MARKS1]), 2):
        energy += keep_apart(scene, world, f, cut, under, int(scene.lists[m]), scene.lists[m + 1] + slack, out)
    return energy


@compiled
def second_frame(scene, stands, d):
    """The other frame that a demand pushes back on; NONE where that is the machine."""
    if int(scene.demands[d, KIND]) == ON_SHEET:
        return stands[int(scene.demands[d, FIRST]), 1]
    return int(scene.demands[d, SECOND])


@compiled
def total_energy(scene, stands, world, weights, slack, each, push, out):
    """Weighted energy of everything; `each` gets the unweighted parts, `push` the gradient on frames (x, y, turn)."""
    push[:] = 0.0
    energy = 0.0
    for d in range(scene.demands.shape[0]):
        each[d] = 0.0
        part = demand_energy(scene, stands, world, d, slack, out)
        if part <= 0.0:
            continue
        each[d] = part
        w = weights[d]
        energy += w * part
        f, g = int(scene.demands[d, FIRST]), second_frame(scene, stands, d)
        push[f, 0] += w * out[0]
        push[f, 1] += w * out[1]
        push[f, 2] += w * out[2]
        if g != NONE:
            push[g, 0] -= w * out[0]
            push[g, 1] -= w * out[1]
            push[g, 2] += w * out[3]
    return energy


@compiled
def frame_energy(scene, stands, world, weights, slack, f, enough, push, out):
    """Weighted energy of what concerns one frame, given up once above `enough`; `push` (3) gets its gradient."""
    push[:] = 0.0
    energy = 0.0
    for k in range(scene.frames[f, AROUND0], scene.frames[f, AROUND1]):
        d = int(scene.lists[k])
        part = demand_energy(scene, stands, world, d, slack, out)
        if part <= 0.0:
            continue
        w = weights[d]
        energy += w * part
        if energy > enough:
            return energy
        if int(scene.demands[d, FIRST]) == f:
            push[0] += w * out[0]
            push[1] += w * out[1]
            push[2] += w * out[2]
        else:
            push[0] -= w * out[0]
            push[1] -= w * out[1]
            push[2] += w * out[3]
    return energy
