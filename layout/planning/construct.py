"""Build one plan, pass after pass: lay what is most urgent, as much of it as fits, and repeat a bed while it serves."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry import Polygon

from layout.geometry.value import replace
from layout.model.noted import NOTHING, Extra
from layout.model.plan import Layout, PlacedDie, Plan, Punched, Run
from layout.model.project import Project
from layout.nesting.job import Effort
from layout.planning.bedding import Bedded, Bench, Sheet, Want
from layout.planning.choosing import choose_sheets, choose_wants, passes_left
from layout.planning.cutting_down import Panelled
from layout.planning.holding import Held, Seed, find_pile
from layout.planning.punching import punch_pieces
from layout.planning.stock import Pile, Stock

Early = Callable[[tuple[Plan, dict[str, int]]], None]

EARLY_PIECES = 4
LONE_TRIES, LONE_ROUNDS = 6, 60


@dataclass(slots=True)
class Drive:
    """How a plan is built: the nesting effort, the passes aimed at, how many choices of sheets are tried.

    `early`: is told of the first pass while it still grows, so that there is something to show at once.
    """

    effort: Effort
    goal: int | None = None
    sheet_tries: int = 2
    shuffle: float = 0.0
    quick: bool = False
    improving: bool = False
    early: Early | None = None


@dataclass(slots=True)
class Taped:
    """A layout while it grows: its dies and the passes made with it."""

    dies: tuple[PlacedDie, ...]
    runs: list[Run] = field(default_factory=list)
    last: Bedded | None = None
    extra: Extra = NOTHING


class Builder:
    """Builds one plan; the same seed and effort give the same plan."""

    def __init__(self, bench: Bench, begun: Panelled, held: Held, drive: Drive) -> None:
        self.bench, self.project, self.stock, self.drive = bench, bench.project, begun.stock, drive
        self.begun = begun
        self.due = {w.id: self.project.due(w) for w in self.project.wanted}
        self.due |= {
            w.id: begun.missing.get(w.id, 0) for w in self.project.wanted if w.shape in panels_of(self.project)
        }
        self.rng = np.random.default_rng(drive.effort.seed)
        for wanted, count in held.made.items():
            self.due[wanted] = max(0, self.due.get(wanted, 0) - count)
        self.taped = [Taped(lay.dies, list(lay.runs), extra=lay.extra) for lay in held.layouts]
        self.seeds = list(held.seeds)
        self.punched: list[Punched] = []
        self.stuck: set[str] = set()

    def build(self) -> tuple[Plan, dict[str, int]] | None:
        """Build the plan and count the pieces of each wanted entry that it lacks; None where the goal is missed."""
        while not self.drive.effort.stop[0]:
            wants = self._shuffled(choose_wants(self.project, self.due, self.stock, self.stuck))
            if not wants:
                break
            critical = self._critical(wants)
            if critical is None:
                return None
            if not (self._again(wants, critical) or self._anew(wants, critical)):
                return None
        if not (self.drive.effort.stop[0] and self.drive.improving):
            self._punch()
        missing = {w: n for w, n in self.due.items() if n > 0}
        return self._plan(), missing

    def _plan(self) -> Plan:
        runs = [r for t in self.taped for r in t.runs]
        used = {(laid.scrap, c) for r in runs for laid in r.scraps for c in laid.copies}
        used |= {(p.scrap, p.copy) for p in self.punched} | {(p.scrap, p.copy) for p in self.begun.panels}
        cut_downs = tuple(c for c in self.begun.cut_downs if (c.scrap, c.copy) in used)
        layouts = tuple(Layout(letters(k), t.dies, tuple(t.runs), extra=t.extra) for k, t in enumerate(self.taped))
        return Plan(layouts, tuple(self.punched), cut_downs, self.begun.panels)

    def _critical(self, wants: list[Want]) -> set[str] | None:
        """What must be cut in this very pass if the goal is to be met; None where the goal is out of reach."""
        if self.drive.goal is None:
            return set()
        left = self.drive.goal - sum(len(t.runs) for t in self.taped)
        asked: dict[str, list[Want]] = {}
        for want in wants:
            asked.setdefault(want.die.id, []).append(want)
        critical: set[str] = set()
        for die, mine in asked.items():
            due = [w for w in self.project.wanted if w.shape == die and self.due[w.id] > 0 and w.id not in self.stuck]
            whole = sum(passes_left(self.project, w, self.due[w.id], self.stock) for w in due)
            need = -(-whole // mine[0].die.copies)
            if need > left:
                return None
            if need == left:
                critical.add(die)
        return critical

    def _shuffled(self, wants: list[Want]) -> list[Want]:
        if self.drive.shuffle <= 0.0 or len(wants) < 2:
            return wants
        order = np.arange(len(wants)) + self.drive.shuffle * len(wants) * self.rng.random(len(wants))
        return [wants[int(k)] for k in np.argsort(order)]

    # ---- a bed once more --------------------------------------------------------------------------------
    def _again(self, wants: list[Want], critical: set[str]) -> bool:
        """Run a layout that is already taped once more, where it serves all that is urgent."""
        for taped in self._to_run_again():
            held = _held_wants(taped, wants)
            if not critical <= {w.die.id for w in held} or 2 * len(held) < min(len(taped.dies), len(wants)):
                continue
            bedded = self._same_sheets(taped, held) or self._lay(held, others=_lifted(taped, held))
            if bedded is not None:
                self._take(taped, bedded, tuple(_numbers(taped, held)))
                return True
        return False

    def _to_run_again(self) -> Sequence[Taped]:
        return self.taped[-1:] if self.drive.quick else self.taped[::-1]

    def _same_sheets(self, taped: Taped, held: list[Want]) -> Bedded | None:
        """The last pass again with fresh sheets that are alike: nothing has to be searched."""
        last = taped.last
        if last is None or [(w.wanted.id, w.held) for w in held] != [
            (w.wanted.id, p) for w, p in zip(last.wants, last.poses, strict=True)
        ]:
            return None
        piles = list(self.stock.piles)
        sheets: list[Sheet] = []
        for number, sheet in enumerate(last.sheets):
            fresh = next((p for p in piles if _alike(p, sheet)), None)
            if fresh is None:
                return None
            due = [w.due for w, h in zip(held, last.hosts, strict=True) if h == number]
            count = min([len(sheet.copies), len(fresh.copies), *due])
            sheets.append(Sheet(fresh, fresh.copies[:count], last.sheet_poses[number]))
            piles.remove(fresh)
        again = replace(last, wants=tuple(held), sheets=tuple(sheets), others=())
        return None if _overdone(again, self.due) else again

    # ---- a bed anew -------------------------------------------------------------------------------------
    def _anew(self, wants: list[Want], critical: set[str]) -> bool:
        """Tape down a new layout with as many of the wanted dies as can be made to fit."""
        bedded = self._around(self.seeds.pop(0), wants) if self.seeds else self._most(wants, critical)
        if bedded is not None:
            taped = Taped(bedded.dies())
            self.taped.append(taped)
            self._take(taped, bedded, None)
            return True
        if self.drive.goal is not None:
            return False
        self.stuck.add(wants[0].wanted.id)
        return True

    def _most(self, wants: list[Want], critical: set[str]) -> Bedded | None:
        """As many wants as fit one bed: the critical ones at once, then one after the other what fits beside them."""
        must = [w for w in wants if w.die.id in critical]
        bedded: Bedded | None = None
        if not self.drive.quick:
            bedded = self._lay(wants) if self._may_fit(wants) else None
        if bedded is None and must and (len(must) < len(wants) or self.drive.quick):
            bedded = self._lay(must)
        if bedded is None and must:
            return None
        laid = {id(w) for w in bedded.wants} if bedded is not None else set()
        for want in [w for w in wants if id(w) not in laid]:
            if self.drive.effort.stop[0]:
                break
            bedded = self._beside(bedded, want) or bedded
            if bedded is not None and len(bedded.wants) >= EARLY_PIECES:
                self._tell_early(bedded)
        return bedded

    def _tell_early(self, bedded: Bedded) -> None:
        """Tell, once, of the plan as it would be with this pass and no other piece."""
        early, self.drive.early = self.drive.early, None
        if early is not None:
            made = bedded.made()
            self.taped.append(Taped(bedded.dies(), [bedded.run(None)]))
            early((self._plan(), {w: n - made.get(w, 0) for w, n in self.due.items() if n > made.get(w, 0)}))
            self.taped.pop()

    def _around(self, seed: Seed, wants: list[Want]) -> Bedded | None:
        """A bed built around held dies and sheets; what is held but not due is lifted off."""
        held = _held_wants(Taped(seed.dies), wants)
        others = _lifted(Taped(seed.dies), held)
        keep = [
            Sheet(p, laid.copies, laid.pose) for laid in seed.sheets if (p := find_pile(self.stock, laid)) is not None
        ]
        first = held or wants[:1]
        sheets = choose_sheets(self.bench, first, self.stock, 0, self.rng, keep)
        bedded = None if sheets is None else self.bench.lay(first, sheets, self.drive.effort, others)
        for want in wants if bedded is not None else ():
            if all(want.wanted is not w.wanted for w in first) and not self.drive.effort.stop[0]:
                bedded = self._beside(bedded, want) or bedded
        return bedded

    def _beside(self, bedded: Bedded | None, want: Want) -> Bedded | None:
        """Add one piece to a bed, starting from how things lie there."""
        if bedded is None:
            return self._lay([want]) or self._alone(want)
        wants = [*bedded.wants, want]
        if not self._may_fit(wants):
            return None
        held = tuple(s for s in bedded.sheets if s.held is not None)
        for keep in (bedded.sheets, held):
            sheets = choose_sheets(self.bench, wants, self.stock, 0, self.rng, keep)
            if sheets is None or not self.bench.has_room_for(sheets):
                continue
            begin = bedded if keep is bedded.sheets else None
            found = self.bench.lay(wants, sheets, self.drive.effort, bedded.others, begin)
            if found is not None and not _overdone(found, self.due):
                return found
            if self.drive.quick:
                break
        return None

    def _may_fit(self, wants: list[Want]) -> bool:
        """Whether the metal of some dies could lie on the bed by area alone."""
        x0, y0, x1, y1 = self.bench.bed
        gap = self.bench.gaps.body_gap
        room = (max(0.0, x1 - x0) + gap) * (max(0.0, y1 - y0) + gap)
        return room >= sum(w.die.body.area + w.die.body.border_length * gap / 2 for w in wants)

    def _lay(self, wants: list[Want], others: tuple[PlacedDie, ...] = ()) -> Bedded | None:
        for attempt in range(self.drive.sheet_tries):
            if self.drive.effort.stop[0]:
                return None
            sheets = choose_sheets(self.bench, wants, self.stock, attempt, self.rng)
            if sheets is None or not self.bench.has_room_for(sheets):
                continue
            bedded = self.bench.lay(wants, sheets, self._other_seed(attempt), others)
            if bedded is not None and not _overdone(bedded, self.due):
                return bedded
        return None

    def _alone(self, want: Want) -> Bedded | None:
        """One piece on the roomiest sheets, where the frugal choice failed: it would be struck off for good."""
        suiting = [p for p in self.stock.of_paper(want.wanted.paper) if self.bench.fits(want.wanted, want.die, p)]
        suiting.sort(key=lambda p: -p.room(self.bench.gaps.paper_edge))
        for attempt, pile in enumerate(suiting[:LONE_TRIES]):
            if self.drive.effort.stop[0]:
                return None
            effort = replace(self._other_seed(attempt + 1), rounds=LONE_ROUNDS)
            bedded = self.bench.lay([want], [Sheet(pile, pile.copies[:1])], effort)
            if bedded is not None:
                return bedded
        return None

    def _other_seed(self, attempt: int) -> Effort:
        """The effort with another seed for each try: the sheets chosen may be the same as before."""
        return replace(self.drive.effort, seed=self.drive.effort.seed + 1009 * attempt)

    def _take(self, taped: Taped, bedded: Bedded, numbers: tuple[int, ...] | None) -> None:
        self.stock = bedded.leaves(self.stock)
        for wanted, count in bedded.made().items():
            self.due[wanted] -= count
        taped.runs.append(bedded.run(numbers))
        taped.last = bedded

    def _punch(self) -> None:
        needs = {w.id: self.due[w.id] for w in self.project.wanted if w.shape in {p.id for p in self.project.punches}}
        needs = {w: n for w, n in needs.items() if n > 0}
        if not needs:
            return
        punched, left = punch_pieces(self.project, needs, lying_on(self.stock), parts_of(self.stock))
        self.punched += punched
        for wanted in needs:
            self.due[wanted] = left.get(wanted, 0)


def lying_on(stock: Stock) -> dict[tuple[str, int], list[tuple[str, Polygon]]]:
    """What lies on each sheet, by scrap and copy, in the scrap's frame."""
    lying: dict[tuple[str, int], list[tuple[str, Polygon]]] = {}
    for pile in stock.piles:
        for copy in pile.copies:
            lying.setdefault((pile.scrap.id, copy), []).extend((p.wanted, p.cut.polygon) for p in pile.lying)
    return lying


def parts_of(stock: Stock) -> dict[tuple[str, int], list[tuple[int, Polygon]]]:
    """The parts of every sheet that was cut down, by scrap and copy, in the scrap's frame."""
    parts: dict[tuple[str, int], list[tuple[int, Polygon]]] = {}
    for pile in stock.piles:
        for copy in pile.copies if pile.part is not None else ():
            parts.setdefault((pile.scrap.id, copy), []).append((pile.part or 0, pile.outline.polygon))
    return parts


def panels_of(project: Project) -> frozenset[str]:
    """The ids of the shapes that are cut by hand."""
    return frozenset(p.id for p in project.panels)


def letters(number: int) -> str:
    """Name a layout: A to Z, then AA and so on."""
    name = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, 26)
        name = chr(65 + digit) + name
    return name


def _held_wants(taped: Taped, wants: list[Want]) -> list[Want]:
    """Those of the wants whose dies this layout has, held where they are taped."""
    free = list(taped.dies)
    held: list[Want] = []
    for want in wants:
        place = next((d for d in free if d.die == want.die.id), None)
        if place is not None:
            free.remove(place)
            held.append(replace(want, held=place.pose))
    return held


def _numbers(taped: Taped, held: list[Want]) -> list[int]:
    """Each want's die among the layout's dies."""
    return [next(k for k, d in enumerate(taped.dies) if d.die == w.die.id and d.pose == w.held) for w in held]


def _lifted(taped: Taped, held: list[Want]) -> tuple[PlacedDie, ...]:
    used = set(_numbers(taped, held))
    return tuple(d for k, d in enumerate(taped.dies) if k not in used)


def _alike(pile: Pile, sheet: Sheet) -> bool:
    """Whether a pile could lie in a sheet's place: sheets cut down otherwise may share part numbers, not outlines."""
    before = sheet.pile
    return (pile.scrap.id, pile.outline, pile.lying) == (before.scrap.id, before.outline, before.lying)


def _overdone(bedded: Bedded, due: Mapping[str, int]) -> bool:
    return any(count > due[w] for w, count in bedded.made().items())
