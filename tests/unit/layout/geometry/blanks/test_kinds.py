"""Blanks asked for by name: all fold shut, and come back from a file as they went in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.geometry.blanks.faces import BlankError
from layout.geometry.blanks.folding import faults
from layout.geometry.blanks.kinds import KINDS, Sizes


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_folds_shut_and_is_kept(kind: str) -> None:
    sizes = Sizes(kind, 80, 24, 90, 0.3, tab=11)
    blank = sizes.blank()
    assert faults(blank) == []
    again = Sizes.read(sizes.kept())
    assert again is not None
    assert again.blank() == blank
    assert KINDS[kind].steps


def test_a_narrow_box_gets_a_tab_that_fits() -> None:
    assert faults(Sizes("straight", 40, 6, 60).blank()) == []


@pytest.mark.parametrize("kept", [None, 3, "box", {"kind": "balloon"}, {"width": 3.0}])
def test_what_is_none_of_ours_is_not_read(kept: object) -> None:
    assert Sizes.read(kept) is None


def test_what_is_no_number_is_left_as_usual() -> None:
    assert Sizes.read({"kind": "tray", "width": "wide", "depth": True, "height": 7}) == Sizes("tray", height=7.0)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(BlankError, match="balloon"):
        replace(Sizes(), kind="balloon").blank()
    with pytest.raises(BlankError, match="width"):
        Sizes("tray", width=-1).blank()
