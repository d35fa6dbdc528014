"""Mix beds: candidate beds in a pool, priced by the pass programme, and a plan that runs the best mix of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layout.geometry.value import replace
from layout.model.errors import PlatefulError
from layout.model.plan import Plan
from layout.planning.bedding import Bedded, Want
from layout.planning.construct import Builder, Taped, _held_wants, _lifted, _numbers
from layout.planning.programme import Pattern, Prices, choose_passes, relax
from layout.planning.stock import Pile, Stock

_SHARE = 0.95  # how much of the bed's area the first try of a new bed may ask for
_SECONDS = 0.4


class Pool:
    """Beds over fresh sheets that are known to work, each once by what it cuts from which sheets."""

    def __init__(self, stock: Stock) -> None:
        self._supply: dict[str, int] = {}
        for pile in stock.piles:
            if not pile.lying:
                self._supply[_key(pile)] = self._supply.get(_key(pile), 0) + len(pile.copies)
        self._beds: dict[tuple[object, ...], Bedded] = {}

    def add(self, bedded: Bedded) -> bool:
        """Keep a bed; False where one like it is known or its sheets are not fresh."""
        pattern = _pattern(bedded)
        key = (tuple(sorted(pattern.makes.items())), tuple(sorted(pattern.sheets.items())))
        fresh = all(not s.pile.lying and _key(s.pile) in self._supply for s in bedded.sheets)
        if key in self._beds or not fresh or bedded.others:
            return False
        self._beds[key] = bedded
        return True

    def prices(self, due: Mapping[str, int]) -> Prices | None:
        """Return the relaxed programme's passes and prices; None where the pool does not yet make everything."""
        try:
            return relax([_pattern(b) for b in self._beds.values()], due, self._supply)
        except PlatefulError:
            return None

    def choose(self, due: Mapping[str, int], should_stop: Callable[[], bool]) -> list[tuple[Bedded, int]]:
        """Return the beds to run and how often, the most often run first."""
        beds = list(self._beds.values())
        patterns = [replace(_pattern(b), layout=str(k)) for k, b in enumerate(beds)]
        choice = choose_passes(patterns, due, self._supply, exact=False, seconds=_SECONDS, should_stop=should_stop)
        used = [(b, n) for b, n in zip(beds, choice.times, strict=True) if n]
        return sorted(used, key=lambda item: -item[1])


class Mixer(Builder):
    """A builder that begins with a given mix of beds and finishes what they leave."""

    def mixed(self, mix: list[tuple[Bedded, int]]) -> tuple[Plan, dict[str, int]] | None:
        """Run every bed of the mix as often as it asks for and serves, then build the rest."""
        for bedded, times in mix:
            taped = Taped(bedded.dies(), last=bedded)
            for _ in range(times):
                if self.drive.effort.stop[0] or not self._once_more(taped, bedded):
                    break
            if taped.runs:
                self.taped.append(taped)
        return self.build()

    def _once_more(self, taped: Taped, bedded: Bedded) -> bool:
        """Run a bed once: on sheets alike where all of it is due, else with the other dies lifted off."""
        held = _held_wants(Taped(bedded.dies()), self._still(bedded))
        if not held:
            return False
        run = self._same_sheets(taped, held) or self._lay(held, others=_lifted(taped, held))
        if run is None:
            return False
        self._take(taped, run, tuple(_numbers(taped, held)))
        return True

    def _still(self, bedded: Bedded) -> list[Want]:
        """The bed's pieces that are due, two of one kind only where two are due."""
        left = dict(self.due)
        found = []
        for want in bedded.wants:
            if left[want.wanted.id] > 0:
                found.append(replace(want, due=self.due[want.wanted.id], held=None))
                left[want.wanted.id] -= 1
        return found

    def pieces_due(self) -> dict[str, int]:
        """How many pieces of each wanted entry are due from dies."""
        dies = {d.id for d in self.project.dies}
        return {w.id: self.due[w.id] for w in self.project.wanted if w.shape in dies and self.due[w.id] > 0}

    def alone(self) -> list[Bedded]:
        """Return a bed for every piece by itself."""
        beds = (self._lay([w]) for w in self._wants())
        return [b for b in beds if b is not None]

    def grown(self, worth: Mapping[str, float]) -> Bedded | None:
        """Lay the pieces of most worth on a bed: as many at once as may go, then one after the other."""
        order = sorted(self._wants(), key=lambda w: (-worth.get(w.wanted.id, 0.0), -w.die.body.area, w.die.id))
        wants = self._jittered(order)
        size = self._likely(wants)
        bedded = self._lay(wants[:size])
        while bedded is None and size > 1 and not self.drive.effort.stop[0]:
            size -= 1
            bedded = self._lay(wants[:size])
        for want in wants[size:]:
            if self.drive.effort.stop[0] or worth.get(want.wanted.id, 0.0) <= 0.0:
                break
            bedded = self._beside(bedded, want) or bedded
        return bedded

    def _wants(self) -> list[Want]:
        """Every piece that is due from a die, once for each copy of the die."""
        dies = {d.id: d for d in self.project.dies}
        asked = [w for w in self.project.wanted if w.shape in dies and self.due[w.id] > 0]
        return [
            Want(w, dies[w.shape], self.due[w.id])
            for w in asked
            for _ in range(min(dies[w.shape].copies, self.due[w.id]))
        ]

    def _jittered(self, order: list[Want]) -> list[Want]:
        """One want a copy of each die, in an order that varies a little with the seed."""
        free = {d.id: d.copies for d in self.project.dies}
        kept = []
        for want in self._shuffled(order):
            if free[want.die.id] > 0:
                free[want.die.id] -= 1
                kept.append(want)
        return kept

    def _likely(self, wants: list[Want]) -> int:
        """How many of the wants the bed may well hold at once."""
        x0, y0, x1, y1 = self.bench.bed
        room = (x1 - x0) * (y1 - y0) * _SHARE
        for k, want in enumerate(wants):
            room -= want.die.body.area + want.die.body.border_length * self.bench.gaps.body_gap / 2
            if room < 0.0:
                return max(1, k)
        return len(wants)


def _key(pile: Pile) -> str:
    return f"{pile.scrap.id}/{pile.part}/{pile.outline.area:.1f}"


def _pattern(bedded: Bedded) -> Pattern:
    used = sorted(set(bedded.hosts))
    sheets: dict[str, int] = {}
    for number in used:
        sheet = bedded.sheets[number]
        sheets[_key(sheet.pile)] = sheets.get(_key(sheet.pile), 0) + len(sheet.copies)
    return Pattern(bedded.made(), sheets, paper=sum(bedded.sheets[k].pile.outline.area for k in used))
