"""Plan files of the contract: in with every fault named by its place, out exactly."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from layout.formats import reading, writing
from layout.formats.fields import Fields, Steps, done
from layout.formats.values import FieldError, a_list, a_point, a_whole, check_unique, quoted
from layout.model.plan import (
    Cut,
    CutDown,
    CutPanel,
    LaidScrap,
    Layout,
    Line,
    PlacedDie,
    Plan,
    Punched,
    Run,
    StraightCut,
    Unplaced,
)


def read_plan(path: Path) -> Plan:
    """Read a plan file; raises FileError. Whether it fits a project is for `layout.rules` to say."""
    return parse_plan(reading.read_bytes(path), str(path))


def parse_plan(data: bytes, name: str) -> Plan:
    """Read a plan from a file's bytes; `name` is what a message calls the file. Raises FileError."""
    return reading.parse(data, name, "plan", lambda fields: done(_plan(fields)))


def plan_in_steps(tree: Any, name: str) -> Steps[Plan]:
    """Read a plan from a decoded file, run by run, for a window that has other things to do in between.

    Raises FileError; `name` is what its message calls the plan.
    """
    return reading.parse_tree(tree, name, "plan", _plan)


def write_plan(plan: Plan, path: Path) -> None:
    """Write a plan in one step; raises FileError and leaves the old file whole."""
    writing.write_bytes(plan_bytes(plan), path)


def plan_bytes(plan: Plan) -> bytes:
    """Return the bytes of a plan's file."""
    return writing.to_bytes(plan_object(plan))


def plan_in_parts(plan: Plan) -> Iterator[bytes]:
    """Give the same part by part, each of little work."""
    yield b""
    yield from writing.to_parts(plan_object(plan))


# ---- in ---------------------------------------------------------------------------------------------------------


def _plan(fields: Fields) -> Steps[Plan]:
    status, passes = fields.text("status"), fields.whole("passes", least=0)
    proven = fields.truth("proven", False)
    plan = Plan(
        layouts=(yield from fields.each_in_steps("layouts", _layout)),
        punched=fields.each("punched", read_punched),
        cut_downs=fields.each("cut_downs", _cut_down),
        panels=fields.each("panels", read_cut_panel),
        unplaced=fields.each("unplaced", _unplaced),
        lower_bound=fields.whole("lower_bound", 0, least=0),
        because=fields.text("because", ""),
        extra=fields.extra(),
    )
    check_unique([(f"layouts[{i}].id", layout.id) for i, layout in enumerate(plan.layouts)])
    sheets = [f"{quoted(c.scrap)}, copy {c.copy}" for c in plan.cut_downs]
    check_unique([(f"cut_downs[{i}]", sheet) for i, sheet in enumerate(sheets)])
    _check_sums(plan, status, passes, proven)
    return plan


def _check_sums(plan: Plan, status: str, passes: int, proven: bool) -> None:
    """Refuse a plan that says one thing and holds another, for the model holds only what follows from its parts."""
    if status not in ("complete", "partial"):
        raise FieldError("status", f'{quoted(status)} is no status; it is "complete" or "partial"')
    if status != plan.status:
        missing = sum(u.count for u in plan.unplaced)
        raise FieldError("status", f"{quoted(status)} does not fit {missing} pieces unplaced; plan the project again")
    if passes != plan.passes:
        raise FieldError(
            "passes", f"{passes} does not fit the {plan.passes} runs of its layouts; plan the project again"
        )
    if proven and not plan.proven:
        bound = f"{plan.passes} passes and a lower bound of {plan.lower_bound}"
        raise FieldError("proven", f"true does not fit {bound}; plan the project again")


def read_layout(fields: Fields) -> Layout:
    """Read a taping-down of dies; raises FieldError."""
    return done(_layout(fields))


def _layout(fields: Fields) -> Steps[Layout]:
    layout = Layout(
        id=fields.name(),
        dies=fields.each("dies", _placed_die),
        runs=(yield from fields.each_in_steps("runs", _run)),
        extra=fields.extra(),
    )
    for r, run in enumerate(layout.runs):
        for c, cut in enumerate(run.cuts):
            _check_index(f"{fields.path}.runs[{r}].cuts[{c}].die", cut.die, len(layout.dies), "die of the layout")
    return layout


def _placed_die(fields: Fields) -> PlacedDie:
    return PlacedDie(die=fields.name("die"), pose=fields.pose("pose"), extra=fields.extra())


def _run(fields: Fields) -> Steps[Run]:
    yield
    run = Run(scraps=fields.each("scraps", _laid_scrap), cuts=fields.each("cuts", _cut), extra=fields.extra())
    for c, cut in enumerate(run.cuts):
        _check_index(f"{fields.path}.cuts[{c}].scrap", cut.scrap, len(run.scraps), "scrap of the run")
    return run


def _check_index(path: str, index: int, count: int, kind: str) -> None:
    if index >= count:
        raise FieldError(path, f"there is no {kind} number {index}; there are {count}, counted from 0")


def _laid_scrap(fields: Fields) -> LaidScrap:
    return LaidScrap(
        scrap=fields.name("scrap"),
        copies=_copies(fields),
        pose=fields.pose("pose"),
        part=fields.whole_or_none("part", least=0),
        extra=fields.extra(),
    )


def _copies(fields: Fields) -> tuple[int, ...]:
    value = fields.take_or_none("copies")
    path = fields.at("copies")
    copies = tuple(a_whole(v, at, 0, 10**6) for v, at in a_list([0] if value is None else value, path))
    if not copies:
        raise FieldError(path, "the list is empty; name at least one sheet")
    return copies


def _cut(fields: Fields) -> Cut:
    return Cut(
        die=fields.whole("die", least=0),
        scrap=fields.whole("scrap", least=0),
        wanted=fields.name("wanted"),
        extra=fields.extra(),
    )


def read_punched(fields: Fields) -> Punched:
    """Read a punched piece; raises FieldError."""
    return Punched(
        wanted=fields.name("wanted"),
        punch=fields.name("punch"),
        scrap=fields.name("scrap"),
        copy=fields.whole("copy", 0, least=0),
        part=fields.whole_or_none("part", least=0),
        pose=fields.pose("pose"),
        extra=fields.extra(),
    )


def _cut_down(fields: Fields) -> CutDown:
    cut_down = CutDown(
        scrap=fields.name("scrap"),
        copy=fields.whole("copy", 0, least=0),
        cuts=fields.each("cuts", read_straight_cut),
        extra=fields.extra(),
    )
    for k, cut in enumerate(cut_down.cuts):
        _check_index(f"{fields.path}.cuts[{k}].part", cut.part, k + 1, "part")
    return cut_down


def read_straight_cut(fields: Fields) -> StraightCut:
    """Read a cut from edge to edge; raises FieldError."""
    line = _line(fields.take("line"), fields.at("line"))
    return StraightCut(part=fields.whole("part", least=0), line=line, extra=fields.extra())


def _line(value: Any, path: str) -> Line:
    ends = a_list(value, path)
    if len(ends) != 2:
        raise FieldError(path, f"a line [[x, y], [x, y]] is needed here, not a list of {len(ends)}")
    start, end = a_point(*ends[0]), a_point(*ends[1])
    if start == end:
        raise FieldError(path, "the line has no length; give two different points")
    return start, end


def read_cut_panel(fields: Fields) -> CutPanel:
    """Read a panel cut by hand; raises FieldError."""
    return CutPanel(
        wanted=fields.name("wanted"),
        panel=fields.name("panel"),
        scrap=fields.name("scrap"),
        copy=fields.whole("copy", 0, least=0),
        part=fields.whole_or_none("part", least=0),
        pose=fields.pose("pose"),
        extra=fields.extra(),
    )


def _unplaced(fields: Fields) -> Unplaced:
    return Unplaced(
        wanted=fields.name("wanted"),
        count=fields.whole("count", least=1, most=10**9),
        reason=fields.text("reason", ""),
        extra=fields.extra(),
    )


# ---- out --------------------------------------------------------------------------------------------------------


def plan_object(plan: Plan) -> dict[str, Any]:
    """Return a plan's JSON object, its contract fields first."""
    known = {
        "format": "plateful-plan",
        "version": reading.VERSION,
        "status": plan.status,
        "passes": plan.passes,
        "lower_bound": plan.lower_bound,
        "proven": plan.proven,
        "because": plan.because,
        "layouts": [layout_object(layout) for layout in plan.layouts],
        "punched": [punched_object(p) for p in plan.punched],
        "cut_downs": [_cut_down_object(c) for c in plan.cut_downs],
        "panels": [cut_panel_object(p) for p in plan.panels],
        "unplaced": [_unplaced_object(u) for u in plan.unplaced],
    }
    return writing.with_extra(known, plan.extra)


def layout_object(layout: Layout) -> dict[str, Any]:
    """Return a layout's JSON object."""
    dies = [writing.with_extra({"die": d.die, "pose": writing.pose(d.pose)}, d.extra) for d in layout.dies]
    runs = [_run_object(run) for run in layout.runs]
    return writing.with_extra({"id": layout.id, "dies": dies, "runs": runs}, layout.extra)


def _run_object(run: Run) -> dict[str, Any]:
    scraps = [_laid_scrap_object(s) for s in run.scraps]
    cuts = [writing.with_extra({"die": c.die, "scrap": c.scrap, "wanted": c.wanted}, c.extra) for c in run.cuts]
    return writing.with_extra({"scraps": scraps, "cuts": cuts}, run.extra)


def _laid_scrap_object(laid: LaidScrap) -> dict[str, Any]:
    known = {"scrap": laid.scrap, "copies": list(laid.copies), "part": laid.part, "pose": writing.pose(laid.pose)}
    return writing.with_extra(known, laid.extra)


def punched_object(p: Punched) -> dict[str, Any]:
    """Return a punched piece's JSON object."""
    known = {
        "wanted": p.wanted,
        "punch": p.punch,
        "scrap": p.scrap,
        "copy": p.copy,
        "part": p.part,
        "pose": writing.pose(p.pose),
    }
    return writing.with_extra(known, p.extra)


def straight_cut_object(cut: StraightCut) -> dict[str, Any]:
    """Return a straight cut's JSON object."""
    return writing.with_extra({"part": cut.part, "line": writing.points(cut.line)}, cut.extra)


def _cut_down_object(c: CutDown) -> dict[str, Any]:
    cuts = [straight_cut_object(k) for k in c.cuts]
    return writing.with_extra({"scrap": c.scrap, "copy": c.copy, "cuts": cuts}, c.extra)


def cut_panel_object(p: CutPanel) -> dict[str, Any]:
    """Return a cut panel's JSON object."""
    known = {
        "wanted": p.wanted,
        "panel": p.panel,
        "scrap": p.scrap,
        "copy": p.copy,
        "part": p.part,
        "pose": writing.pose(p.pose),
    }
    return writing.with_extra(known, p.extra)


def _unplaced_object(u: Unplaced) -> dict[str, Any]:
    return writing.with_extra({"wanted": u.wanted, "count": u.count, "reason": u.reason}, u.extra)
