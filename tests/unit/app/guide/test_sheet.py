"""Which sheet is usual where, and what a printer leaves free."""

from __future__ import annotations

import pytest

from app.guide.sheet import A4, LETTER, Sheet, sheet_of


@pytest.mark.parametrize(
    ("territory", "sheet"),
    [("US", LETTER), ("CA", LETTER), ("MX", LETTER), ("GB", A4), ("DE", A4), ("AU", A4), ("ZZ", A4)],
)
def test_the_usual_sheet(territory: str, sheet: Sheet) -> None:
    # The United States, Canada and Mexico print on Letter, Britain and Australia on A4: common knowledge
    assert sheet_of(territory) is sheet


@pytest.mark.parametrize("sheet", [A4, LETTER])
@pytest.mark.parametrize("scale", [0.94, 0.97, 1.0, 1.03])
def test_the_edge_that_printers_do_not_reach_stays_free(sheet: Sheet, scale: float) -> None:
    box = sheet.corrected(scale).usable
    # a printer that scales does so about the middle of its sheet: the page's corner moves in or out
    left, top = (1 - scale) / 2 * sheet.width, (1 - scale) / 2 * sheet.height
    assert left + box.x >= 6.0
    assert top + box.y >= 6.0
    assert left + box.right <= sheet.width - 6.0
    assert top + box.bottom <= sheet.height - 6.0


@pytest.mark.parametrize("scale", [0.0, -1.0, 0.4, 2.5, float("nan")])
def test_a_scale_that_no_printer_has_is_refused(scale: float) -> None:
    with pytest.raises(ValueError, match="scale"):
        A4.corrected(scale)
