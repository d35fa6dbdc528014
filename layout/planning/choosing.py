"""Which pieces a run should cut, and which sheets to lay under them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from layout.geometry.value import replace
from layout.model.project import Die, Project, Wanted
from layout.planning.bedding import Bench, Sheet, Want
from layout.planning.stock import Pile, Stock

ROOMY = (1.35, 1.8, 2.6)


def layers_of(project: Project, paper: str) -> int:
    """How many sheets of a paper one pass cuts."""
    return next((max(1, p.layers) for p in project.papers if p.id == paper), 1)


def choose_wants(project: Project, due: Mapping[str, int], stock: Stock, skip: set[str]) -> list[Want]:
    """For each owned die the piece with most passes still to go, most urgent first, large before small."""
    ranked: list[tuple[float, float, Want]] = []
    for die in project.dies:
        asked = [w for w in project.wanted if w.shape == die.id and due[w.id] > 0 and w.id not in skip]
        asked.sort(key=lambda w: -passes_left(project, w, due[w.id], stock))
        whole = sum(passes_left(project, w, due[w.id], stock) for w in asked) / die.copies
        for want in _spread_copies(project, asked, die, due, stock):
            ranked.append((-whole, -die.body.solid.area, want))
    ranked.sort(key=lambda r: (r[0], r[1], r[2].wanted.id))
    return [want for _, _, want in ranked]


def passes_left(project: Project, wanted: Wanted, due: int, stock: Stock) -> int:
    """How many cuts a wanted entry still needs, stacking as high as its papers allow."""
    piles = stock.of_paper(wanted.paper)
    most = max((min(layers_of(project, p.paper), len(p.copies)) for p in piles), default=1)
    return math.ceil(due / max(1, most))


def _spread_copies(project: Project, asked: list[Wanted], die: Die, due: Mapping[str, int], stock: Stock) -> list[Want]:
    """Hand out the owned copies of a die to what is asked of it, one at a time, by what is left."""
    left = {w.id: passes_left(project, w, due[w.id], stock) for w in asked}
    wants: list[Want] = []
    for _ in range(die.copies):
        pick = max(asked, key=lambda w: left[w.id], default=None)
        if pick is None or left[pick.id] <= 0:
            break
        left[pick.id] -= 1
        wants.append(Want(pick, die, due[pick.id]))
    return wants


def choose_sheets(
    bench: Bench,
    wants: list[Want],
    stock: Stock,
    attempt: int,
    rng: np.random.Generator,
    keep: Sequence[Sheet] = (),
) -> list[Sheet] | None:
    """Sheets enough for these pieces: small and odd ones first, roomier ones later; None if there are none.

    `keep`: sheets that lie there already and stay; more are only added to them.
    """
    picks = _Picks(bench, stock, attempt, rng)
    picks.keep(keep)
    images = [w for w in wants if w.wanted.image is not None]
    others = [w for w in wants if w.wanted.image is None]
    served = all(picks.for_image(w, _like(bench, w, wants, attempt)) for w in images)
    for group in _groups(bench, others, attempt) if served else ():
        if not picks.cover(group):
            return None
    return picks.sheets if served else None


def _like(bench: Bench, want: Want, wants: list[Want], attempt: int) -> int:
    """How high to stack the sheets that carry a wanted image."""
    return min(_level(bench.project, w) for w in wants if w.wanted.paper == want.wanted.paper or attempt > 0)


def _level(project: Project, want: Want) -> int:
    """How many sheets may be stacked for a piece: as its paper allows, and no more than are due."""
    papers = [want.wanted.paper] if want.wanted.paper else [p.id for p in project.papers]
    return max(1, min(want.due, max((layers_of(project, p) for p in papers), default=1)))


def _groups(bench: Bench, wants: list[Want], attempt: int) -> list[list[Want]]:
    """Pieces that may share sheets: of one paper and, at first, stacked alike."""
    groups: dict[tuple[str, int], list[Want]] = {}
    for want in wants:
        level = _level(bench.project, want) if attempt % 2 == 0 else 0
        groups.setdefault((want.wanted.paper or "", level), []).append(want)
    return [groups[key] for key in sorted(groups, key=lambda k: (k[0] == "", k))]


class _Picks:
    """The sheets picked for one bed, and the piles they are picked from."""

    def __init__(self, bench: Bench, stock: Stock, attempt: int, rng: np.random.Generator) -> None:
        self.bench, self.attempt, self.rng = bench, attempt, rng
        self.piles = list(stock.piles)
        self.sheets: list[Sheet] = []
        self.ratio = ROOMY[min(attempt // 2, len(ROOMY) - 1)]

    def keep(self, sheets: Sequence[Sheet]) -> None:
        """Start from sheets that are laid already."""
        for sheet in sheets:
            pile = next(p for p in self.piles if _holds(p, sheet))
            self.piles.remove(pile)
            rest = tuple(c for c in pile.copies if c not in sheet.copies)
            if rest:
                self.piles.append(replace(pile, copies=rest))
            self.sheets.append(sheet)

    def for_image(self, want: Want, level: int) -> bool:
        """Pick a sheet that carries the image a piece is wanted round, unless one is picked already."""
        if any(self._suits(want, s.pile) for s in self.sheets):
            return True
        piles = [p for p in self.piles if self._suits(want, p)]
        pile = min(piles, key=lambda p: p.outline.area, default=None)
        if pile is None:
            return False
        self._pick(pile, level)
        return True

    def cover(self, wants: list[Want]) -> bool:
        """Pick sheets that offer the room these pieces need: one that does for all, else several."""
        level = min(_level(self.bench.project, w) for w in wants)
        left = self._unserved(wants, [s.pile for s in self.sheets if len(s.copies) <= level])
        while left:
            order = sorted(self._of_paper(left[0].wanted.paper), key=lambda p: (-self._height(p, level), self._cost(p)))
            need = self.ratio * sum(_asks(self.bench, w) for w in left)
            roomy = [p for p in order if self._room(p) >= need]
            pile = next((p for p in roomy if all(self._suits(w, p) for w in left)), None)
            pile = pile or max(order, key=lambda p: self._served(left, p), default=None)
            rest = self._unserved(left, [pile]) if pile is not None else left
            if pile is None or len(rest) == len(left):
                return False
            self._pick(pile, level)
            left = rest
        return True

    def _pick(self, pile: Pile, level: int) -> None:
        most = self._height(pile, level)
        self.sheets.append(Sheet(pile, pile.copies[:most]))
        self.piles.remove(pile)
        if len(pile.copies) > most:
            self.piles.append(replace(pile, copies=pile.copies[most:]))

    def _height(self, pile: Pile, level: int) -> int:
        """How many sheets of a pile may be stacked: a higher stack spares passes, and passes weigh more than paper."""
        return min(level, layers_of(self.bench.project, pile.paper), len(pile.copies))

    def _cost(self, pile: Pile) -> float:
        return pile.outline.area * (1.0 + 0.3 * self.attempt * float(self.rng.random()))

    def _of_paper(self, paper: str | None) -> list[Pile]:
        return [p for p in self.piles if paper in (None, p.paper)]

    def _suits(self, want: Want, pile: Pile) -> bool:
        return want.wanted.paper in (None, pile.paper) and self.bench.fits(want.wanted, want.die, pile)

    def _room(self, pile: Pile) -> float:
        """The room a pile offers: without end where it lies under the whole bed, for then the bed sets the limit."""
        return math.inf if self.bench.covers(pile) else pile.room(self.bench.gaps.paper_edge)

    def _served(self, wants: list[Want], pile: Pile) -> float:
        rest = {id(w) for w in self._unserved(wants, [pile])}
        return sum(_asks(self.bench, w) for w in wants if id(w) not in rest)

    def _unserved(self, wants: list[Want], piles: list[Pile]) -> list[Want]:
        """What is left over when pieces, largest first, go to the first of the piles with room by estimate."""
        room = [self._room(p) for p in piles]
        fresh = [True] * len(piles)
        left: list[Want] = []
        for want in sorted(wants, key=lambda w: -_asks(self.bench, w)):
            asks = self.ratio * _asks(self.bench, want)
            place = (k for k, p in enumerate(piles) if (fresh[k] or room[k] >= asks) and self._suits(want, p))
            k = next(place, -1)
            if k < 0:
                left.append(want)
                continue
            room[k] -= asks
            fresh[k] = False
        return left


def _holds(pile: Pile, sheet: Sheet) -> bool:
    return pile.scrap is sheet.pile.scrap and pile.part == sheet.pile.part and set(sheet.copies) <= set(pile.copies)


def _asks(bench: Bench, want: Want) -> float:
    """The area (square mm) of a piece with its share of the webs about it."""
    return want.die.cut.area + want.die.cut.border_length * bench.gaps.web / 2
