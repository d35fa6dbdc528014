"""Sessions in processes of their own, killed at a moment that a seed gives; what they told by then."""

from __future__ import annotations

import multiprocessing
import random
from collections.abc import Callable, Iterator
from itertools import islice
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from typing import Any


def breeder_of(module: str) -> BaseContext:
    """Return what makes children that have loaded a module already, where the system can."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([module])
    return context


def told_until_killed(
    breeder: BaseContext,
    work: Callable[..., None],
    told_what: tuple[Any, ...],
    seed: int,
    most_told: int,
    moment: float,
) -> list[str]:
    """Start `work(*told_what, pipe)`, hear up to so many lines, kill it within `moment` seconds more; all it told."""
    mine, its = multiprocessing.Pipe(duplex=False)
    process = breeder.Process(target=work, args=(*told_what, its))  # type: ignore[attr-defined]
    process.start()
    its.close()
    dice = random.Random(seed)
    lines = list(islice(_heard(mine), dice.randint(0, most_told)))
    process.join(dice.uniform(0.0, moment))
    assert process.is_alive()
    process.kill()
    lines += _heard(mine)
    process.join()
    process.close()
    mine.close()
    return lines


def _heard(pipe: Connection) -> Iterator[str]:
    while True:
        try:
            yield pipe.recv()
        except (EOFError, OSError):  # ended, or within a line
            return
