"""Long random walks over the document: 200 edits each; every state met on the way is met again, byte for byte.

Every day a few short walks; `PLATEFUL_WALKS=500` takes as many of 200 edits each.
"""

import os
from random import Random

import pytest

from tests.unit.app.document.test_history import START, Edits, as_bytes

pytestmark = pytest.mark.usefixtures("qapp")

WALKS = int(os.environ.get("PLATEFUL_WALKS", "0"))
EDITS = 200 if WALKS else 40
SEEDS = range(WALKS or 4)
DRAWN = {
    "pick_dies": lambda d: (set(d.sample(range(6), d.randint(0, 3))),),
    "pick_a_scrap": lambda d: (d.randint(0, 1),),
    "move": lambda d: (d.uniform(-20, 90), d.uniform(-20, 90)),
    "turn": lambda d: (d.choice([0.0, 15.0, 90.0, 211.0]),),
    "nudge": lambda d: (d.randint(-1, 1), d.randint(-1, 1)),
    "put_back": lambda _: (),
    "put_on": lambda d: (d.randint(1, 6), d.uniform(-20, 90), d.uniform(-20, 90)),
    "lay": lambda d: (d.randint(1, 2), d.uniform(-20, 90), d.uniform(-20, 90)),
    "hold": lambda d: (d.random() < 0.4,),
    "swap": lambda _: (),
    "duplicate": lambda _: (),
    "remove_pass": lambda _: (),
    "carry_over": lambda d: (d.randint(0, 3),),
    "lift_off": lambda _: (),
    "move_pass": lambda d: (d.choice([-1, 1]),),
    "take_along": lambda d: (d.random() < 0.5,),
    "look_at": lambda d: (d.randint(0, 2),),
    "more_kits": lambda d: (d.randint(1, 3),),
    "add_a_scrap": lambda d: (d.randint(5, 90),),
    "drop_the_last_scrap": lambda _: (),
    "measure": lambda d: (d.choice(["mm", "in", "cm"]),),
    "undo": lambda _: (),
    "in_hand_the_findings_are_those_of_a_fresh_check": lambda d: (d.uniform(-20, 90), d.uniform(-20, 90)),
}
SELDOM = {"drop_the_last_scrap": 0.1, "remove_pass": 0.2, "put_back": 0.5, "undo": 0.7}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_long_walk_can_be_undone_and_walked_again(seed):
    dice, desk = Random(seed), Edits()
    stack, met = desk.document.undo, {0: as_bytes(START)}
    edits = 0
    while edits < EDITS:
        name = dice.choice(list(DRAWN))
        if dice.random() > SELDOM.get(name, 1.0):
            continue
        before = desk.document.state
        arguments = DRAWN[name](dice)
        getattr(desk, name)(*arguments, **({"fine": dice.random() < 0.5} if name == "nudge" else {}))
        if desk.document.state is not before:
            edits += name != "undo"
            met[stack.index()] = as_bytes(desk.document.state)
            desk.findings_are_those_of_a_fresh_check()
    for at in (*reversed(range(stack.count() + 1)), *range(stack.count() + 1)):
        stack.setIndex(at)
        assert as_bytes(desk.document.state) == met[at], (seed, at)
    stack.setIndex(0)
    assert as_bytes(desk.document.state) == as_bytes(START)
