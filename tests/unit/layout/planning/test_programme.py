"""The pass programme: fewest passes, then fewest layouts, and prices for new candidates."""

from __future__ import annotations

import math
import random
import subprocess
import sys
from itertools import product

import pytest

from layout.model.errors import PlatefulError
from layout.planning.programme import Pattern, Prices, choose_passes, relax
from tests.support.shared import ROOT

# Chvatal, Linear Programming (1983), chapter 13: rolls of 100 cut into four widths
ROLL = 100
DUE = {"45": 97, "36": 610, "31": 395, "14": 211}


def test_chvatals_rolls_are_cut_from_453_by_column_generation() -> None:
    patterns = [Pattern({w: ROLL // int(w)}) for w in DUE]
    while True:
        prices = relax(patterns, DUE)
        column = dearest_cut(prices)
        if prices.reduced_cost(column) > -1e-9:
            break
        patterns.append(column)
    assert prices.passes == pytest.approx(452.25)
    choice = choose_passes(patterns, DUE, exact=False)
    assert (choice.passes, choice.missing) == (453, {})
    assert math.ceil(sum(int(w) * n for w, n in DUE.items()) / ROLL) == 416  # what area alone would say


def dearest_cut(prices: Prices) -> Pattern:
    """Price a new pattern: the knapsack of one roll, filled by trying everything."""
    every = [Pattern(dict(zip(DUE, n, strict=True))) for n in product(*(range(ROLL // int(w) + 1) for w in DUE))]
    fitting = [p for p in every if sum(int(w) * n for w, n in p.makes.items()) <= ROLL]
    return min(fitting, key=prices.reduced_cost)


def test_chvatals_453_rolls_need_only_three_patterns() -> None:
    every = [dict(zip(DUE, n, strict=True)) for n in product(*(range(ROLL // int(w) + 1) for w in DUE))]
    fitting = [m for m in every if 0 < sum(int(w) * n for w, n in m.items()) <= ROLL]
    assert len(fitting) == 37
    choice = choose_passes([Pattern(m, layout=str(m)) for m in fitting], DUE, exact=False, seconds=200)
    # 3 is the least, found by computing; one such choice: 198 x (31 31 36), 158 x (36 36 14 14), 97 x (45 36 14)
    assert choice.passes == 453
    assert sum(1 for n in choice.times if n) == 3
    assert choice.best


def test_what_cannot_be_made_is_missing() -> None:
    choice = choose_passes([Pattern({"moth": 2}, {"a": 1})], {"moth": 5, "leaf": 1}, {"a": 2})
    assert (choice.times, choice.missing) == ((2,), {"moth": 1, "leaf": 1})
    assert choose_passes([], {"moth": 2}).missing == {"moth": 2}


def test_nothing_is_made_twice_unless_dies_may_be_lifted() -> None:
    pairs = [Pattern({"moth": 2, "leaf": 1})]
    assert choose_passes(pairs, {"moth": 3, "leaf": 1}).missing == {"moth": 1}
    assert choose_passes(pairs, {"moth": 3, "leaf": 1}, exact=False).missing == {}


def test_layouts_before_paper() -> None:
    patterns = [
        Pattern({"moth": 1}, layout="A", paper=5.0),
        Pattern({"moth": 1}, layout="A", paper=1.0),
        Pattern({"leaf": 1}, layout="A", paper=9.0),
        Pattern({"leaf": 1}, layout="B", paper=0.0),
    ]
    assert choose_passes(patterns, {"moth": 2, "leaf": 1}).times == (0, 2, 1, 0)


def test_prices_need_patterns_for_everything() -> None:
    with pytest.raises(PlatefulError):
        relax([Pattern({"moth": 1})], {"moth": 1, "leaf": 1})


def test_small_programmes_against_trying_everything() -> None:
    for seed in range(60):
        dice = random.Random(seed)
        due = {w: dice.randint(1, 4) for w in "ab"}
        patterns = [
            Pattern(
                {w: dice.randint(0, 2) for w in "ab"}, {"s": dice.randint(0, 2)}, dice.choice("XY"), dice.randint(0, 3)
            )
            for _ in range(3)
        ]
        assert merit(choose_passes(patterns, due, {"s": 4}).times, patterns, due) == least_merit(patterns, due)


def least_merit(patterns: list[Pattern], due: dict[str, int]) -> tuple[float, ...]:
    choices = [t for t in product(range(5), repeat=len(patterns)) if allowed(t, patterns, due)]
    return min(merit(t, patterns, due) for t in choices)


def allowed(times: tuple[int, ...], patterns: list[Pattern], due: dict[str, int]) -> bool:
    made = {w: sum(p.makes[w] * n for p, n in zip(patterns, times, strict=True)) for w in due}
    return (
        all(made[w] <= due[w] for w in due)
        and sum(p.sheets["s"] * n for p, n in zip(patterns, times, strict=True)) <= 4
    )


def merit(times: tuple[int, ...], patterns: list[Pattern], due: dict[str, int]) -> tuple[float, ...]:
    used = [(p, n) for p, n in zip(patterns, times, strict=True) if n]
    missing = sum(due.values()) - sum(n * sum(p.makes.values()) for p, n in used)
    return missing, sum(times), len({p.layout for p, _ in used}), sum(p.paper * n for p, n in used)


def test_a_stop_between_the_aims_keeps_what_the_first_aim_reached() -> None:
    asked: list[int] = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 1

    patterns = [Pattern({"a": 1}), Pattern({"a": 2})]
    choice = choose_passes(patterns, {"a": 2}, should_stop=stop)
    assert not choice.best
    assert not choice.missing
    assert sum(p.makes["a"] * n for p, n in zip(patterns, choice.times, strict=True)) == 2


def test_the_solver_prints_nothing() -> None:
    code = "from layout.planning.programme import *; p = [Pattern({'a': 1})]; choose_passes(p, {'a': 1}); relax(p, {})"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert (said.stdout, said.stderr) == ("", "")
