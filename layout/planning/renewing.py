"""Renew a plan: a few of its passes are given up, and what they made is built anew in fewer.

Ruin and recreate (Schrimpf, Schneider, Stamm-Wilbrandt, Dueck: Journal of Computational Physics 159, 2000, 139-171):
most passes of a plan are good, and building all of them anew takes as long as the first time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layout.model.plan import Plan
from layout.planning.choosing import choose_wants
from layout.planning.construct import Builder, Taped
from layout.planning.holding import after

Place = tuple[int, int]  # a pass: number of its layout, number of its run

RUN_AGAIN = 2  # of the layouts, the newest
DRAWS = 30  # sets of passes looked at until giving one up may spare a pass


class Renewer(Builder):
    """A builder that begins with most passes of a plan and builds the rest."""

    def renewed(self, taped: Sequence[Taped], give_up: int) -> tuple[Plan, dict[str, int]] | None:
        """Build a plan that keeps all but so many passes; None where no set of them promises to spare one."""
        begin = (self.stock, dict(self.due))
        for _ in range(DRAWS):
            self.stock, self.due = begin[0], dict(begin[1])
            self._keep(taped, self._given_up(taped, give_up))
            wants = choose_wants(self.project, self.due, self.stock, self.stuck)
            if self._critical(wants) is not None:
                return self.build()
        return None

    def _to_run_again(self) -> Sequence[Taped]:
        # Other sheets under dies that are taped seldom do, and there are many layouts to try them under.
        return self.taped[: -1 - RUN_AGAIN : -1]

    def _given_up(self, taped: Sequence[Taped], count: int) -> set[Place]:
        """Draw passes, those that cut little before those that cut much."""
        runs = {(i, j): len(run.cuts) for i, t in enumerate(taped) for j, run in enumerate(t.runs)}
        most = max(runs.values())
        keys = {place: self.rng.random() * (1.0 + most - cuts) for place, cuts in runs.items()}
        return set(sorted(keys, key=lambda place: -keys[place])[:count])

    def _keep(self, taped: Sequence[Taped], given_up: set[Place]) -> None:
        self.taped = []
        for i, layout in enumerate(taped):
            runs = [run for j, run in enumerate(layout.runs) if (i, j) not in given_up]
            for run in runs:
                self.stock = after(self.project, self.stock, layout.dies, run)
                for wanted, count in run.made.items():
                    self.due[wanted] -= count
            if runs:
                self.taped.append(replace(layout, runs=runs))
