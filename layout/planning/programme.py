"""The pass programme: how often each candidate layout is run, so that everything due is made in the fewest passes.

Set covering with whole numbers over candidate passes (Gilmore and Gomory, Operations Research 9, 1961, 849-859); the
prices of its relaxation tell which new candidate would help. Solved with HiGHS, one aim after the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import highspy
import numpy as np
from msgspec import field

from layout.geometry.value import Value
from layout.model.errors import PlatefulError


class Pattern(Value, frozen=True):
    """One candidate pass: pieces made and sheets taken, by id; the layout it needs; good paper used up."""

    makes: Mapping[str, int]
    sheets: Mapping[str, int] = field(default_factory=dict)
    layout: str = ""
    paper: float = 0.0


class Choice(Value, frozen=True):
    """How often each pattern is run, and the pieces that stay unmade; `best` tells whether no better choice exists."""

    times: tuple[int, ...]
    missing: Mapping[str, int]
    best: bool

    @property
    def passes(self) -> int:
        """How many passes the choice takes."""
        return sum(self.times)


class Prices(Value, frozen=True):
    """The relaxed programme: its number of passes, and what one more piece due or one more sheet changes it by."""

    passes: float
    pieces: Mapping[str, float]
    sheets: Mapping[str, float]

    def reduced_cost(self, pattern: Pattern) -> float:
        """Return what a pass with this pattern changes the relaxed programme by; below zero: it would help."""
        earned = sum(self.pieces.get(w, 0.0) * n for w, n in pattern.makes.items())
        return 1.0 - earned - sum(self.sheets.get(s, 0.0) * n for s, n in pattern.sheets.items())


def choose_passes(
    patterns: Sequence[Pattern],
    due: Mapping[str, int],
    supply: Mapping[str, int] | None = None,
    *,
    exact: bool = True,
    seconds: float = 10.0,
    should_stop: Callable[[], bool] = lambda: False,
) -> Choice:
    """Choose the fewest unmade pieces, then passes, then layouts, then least paper; each aim gets a share of the time.

    With `exact` nothing is made twice; without it a die may be lifted off where its piece is no longer due, so that
    patterns may make more than is due. The same input gives the same choice unless time runs out.
    `should_stop` is asked between the aims.
    """
    model = _Model(patterns, due, supply or {}, exact=exact)
    best = True
    for aim in (model.missing_aim(), model.passes_aim(), model.layouts_aim(), model.paper_aim()):
        if should_stop() and len(model.values):
            return model.choice(best=False)
        if np.any(aim):
            best = model.minimise(aim, seconds / 4) and best
    return model.choice(best)


def relax(patterns: Sequence[Pattern], due: Mapping[str, int], supply: Mapping[str, int] | None = None) -> Prices:
    """Solve the programme with fractions of passes; raises PlatefulError where the patterns cannot make what is due."""
    model = _Model(patterns, due, supply or {}, exact=False, whole=False)
    passes = model.solve_relaxed()
    prices = model.row_prices()
    split = len(model.pieces)
    return Prices(
        passes,
        dict(zip(model.pieces, prices[:split], strict=True)),
        dict(zip(model.stock, prices[split : split + len(model.stock)], strict=True)),
    )


class _Model:
    """Columns: times of each pattern, pieces unmade, layouts taped. Rows: pieces, sheets, layouts taped when used."""

    def __init__(
        self,
        patterns: Sequence[Pattern],
        due: Mapping[str, int],
        supply: Mapping[str, int],
        *,
        exact: bool,
        whole: bool = True,
    ) -> None:
        self.patterns, self.pieces, self.stock = patterns, list(due), list(supply)
        self.due = due
        self.layouts = sorted({p.layout for p in patterns})
        self.solver = _quiet_solver()
        self.values = np.zeros(0)
        self._add_columns(whole)
        self._add_rows(due, supply, exact=exact)
        if whole:
            self._add_layout_rows()

    # ---- building ------------------------------------------------------------------------------------------------

    def _add_columns(self, whole: bool) -> None:
        for pattern in self.patterns:
            self.solver.addVar(0.0, float(self._most(pattern)))
        for wanted in self.pieces:
            self.solver.addVar(0.0, float(self.due[wanted]) if whole else 0.0)
        for _ in self.layouts if whole else ():
            self.solver.addVar(0.0, 1.0)
        if whole:
            for k in range(self.solver.getNumCol()):
                self.solver.changeColIntegrality(k, highspy.HighsVarType.kInteger)

    def _most(self, pattern: Pattern) -> int:
        """Return how often a pattern is useful at most."""
        return max((-(-self.due[w] // n) for w, n in pattern.makes.items() if n > 0 and w in self.due), default=0)

    def _add_rows(self, due: Mapping[str, int], supply: Mapping[str, int], *, exact: bool) -> None:
        start = len(self.patterns)
        for k, wanted in enumerate(self.pieces):
            terms = {j: float(p.makes[wanted]) for j, p in enumerate(self.patterns) if p.makes.get(wanted)}
            terms[start + k] = 1.0
            self._add_row(float(due[wanted]), float(due[wanted]) if exact else highspy.kHighsInf, terms)
        for scrap in self.stock:
            terms = {j: float(p.sheets[scrap]) for j, p in enumerate(self.patterns) if p.sheets.get(scrap)}
            self._add_row(-highspy.kHighsInf, float(supply[scrap]), terms)

    def _add_layout_rows(self) -> None:
        start = len(self.patterns) + len(self.pieces)
        place = {name: start + k for k, name in enumerate(self.layouts)}
        for j, pattern in enumerate(self.patterns):
            self._add_row(-highspy.kHighsInf, 0.0, {j: 1.0, place[pattern.layout]: -float(self._most(pattern))})

    def _add_row(self, low: float, high: float, terms: Mapping[int, float]) -> None:
        columns = np.fromiter(terms.keys(), dtype=np.int32, count=len(terms))
        values = np.fromiter(terms.values(), dtype=np.float64, count=len(terms))
        self.solver.addRow(low, high, len(terms), columns, values)

    # ---- aims, one cost a column ---------------------------------------------------------------------------------

    def missing_aim(self) -> np.ndarray:
        """Count the unmade pieces."""
        return self._costs(pieces=1.0)

    def passes_aim(self) -> np.ndarray:
        """Count the passes."""
        return self._costs(passes=np.ones(len(self.patterns)))

    def layouts_aim(self) -> np.ndarray:
        """Count the layouts taped down."""
        return self._costs(layouts=1.0)

    def paper_aim(self) -> np.ndarray:
        """Add up the good paper used."""
        return self._costs(passes=np.array([p.paper for p in self.patterns]))

    def _costs(self, passes: np.ndarray | None = None, pieces: float = 0.0, layouts: float = 0.0) -> np.ndarray:
        times = np.zeros(len(self.patterns)) if passes is None else passes
        return np.concatenate([times, np.full(len(self.pieces), pieces), np.full(len(self.layouts), layouts)])

    # ---- solving -------------------------------------------------------------------------------------------------

    def minimise(self, costs: np.ndarray, seconds: float) -> bool:
        """Minimise one aim and hold what was reached for the aims that follow; True when it is proven the least."""
        for k, cost in enumerate(costs):
            self.solver.changeColCost(k, float(cost))
        if len(self.values):
            self._start_from(self.values)
        self.solver.setOptionValue("time_limit", self.solver.getRunTime() + seconds)
        self.solver.run()
        proven = self.solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        found = np.asarray(self.solver.getSolution().col_value)
        if self.solver.getInfo().primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible:
            self.values = np.round(found)
        if not len(self.values):
            self.values = self._nothing_made()
        self._hold(costs)
        return bool(proven)

    def _start_from(self, values: np.ndarray) -> None:
        start = highspy.HighsSolution()
        start.col_value = list(values)
        self.solver.setSolution(start)

    def _nothing_made(self) -> np.ndarray:
        return np.concatenate(
            [np.zeros(len(self.patterns)), [self.due[w] for w in self.pieces], np.zeros(len(self.layouts))]
        )

    def _hold(self, costs: np.ndarray) -> None:
        reached = float(costs @ self.values)
        spare = 1e-6 * max(1.0, abs(reached))
        self._add_row(-highspy.kHighsInf, reached + spare, {k: float(c) for k, c in enumerate(costs) if c})

    def choice(self, best: bool) -> Choice:
        """Return what the last solution says."""
        split = len(self.patterns)
        missing = {w: int(n) for w, n in zip(self.pieces, self.values[split:], strict=False) if n > 0}
        return Choice(tuple(int(n) for n in self.values[:split]), missing, best)

    def solve_relaxed(self) -> float:
        """Minimise the passes in fractions; raises PlatefulError where nothing will do."""
        for k in range(len(self.patterns)):
            self.solver.changeColCost(k, 1.0)
            self.solver.changeColBounds(k, 0.0, highspy.kHighsInf)
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise PlatefulError("these layouts cannot make everything that is due, even in fractions")
        return float(self.solver.getInfo().objective_function_value)

    def row_prices(self) -> list[float]:
        """Return the dual value of every row."""
        return [float(v) for v in self.solver.getSolution().row_dual]


def _quiet_solver() -> highspy.Highs:
    """Make a solver that prints nothing: its own constructor prints a banner before it can be told not to."""
    solver = highspy.Highs.__new__(highspy.Highs)
    super(highspy.Highs, solver).__init__()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    solver.setOptionValue("mip_rel_gap", 0.0)
    return solver
