"""Paper weights against the definitions of pound and inch, and against printed factors of the trade."""

from __future__ import annotations

import pytest

from layout.geometry.paper_weight import (
    SIZES,
    Basis,
    WeightError,
    grammage,
    guessed_caliper,
    parse_caliper,
    parse_weight,
)


@pytest.mark.parametrize(
    ("lb", "basis", "grams"),
    [
        # cover 20 x 26 in, x 2.70411 (a printers' encyclopaedia prints 2.704)
        (65, "cover", 175.8), (80, "cover", 216.3), (90, "cover", 243.4), (100, "cover", 270.4), (110, "cover", 297.5),
        (120, "cover", 324.5), (130, "cover", 351.5),
        # text 25 x 38 in, x 1.48015; bristol 22.5 x 28.5 in, x 2.19281; index 25.5 x 30.5 in, x 1.80796
        (80, "text", 118.4), (67, "bristol", 146.9), (100, "bristol", 219.3),
        (90, "index", 162.7), (110, "index", 198.9), (140, "index", 253.1),
        # bond 17 x 22 in: the worked example of a printers' encyclopaedia
        (20, "bond", 75.2),
    ],
)  # fmt: skip
def test_known_weights(lb: float, basis: Basis, grams: float) -> None:
    assert grammage(lb, basis) == pytest.approx(grams, abs=0.06)


@pytest.mark.parametrize("basis", SIZES)
def test_by_definition(basis: Basis) -> None:
    # g/m2 = lb x 453.59237 / (500 sheets x W x H in2 x 0.00064516 m2/in2) = lb x 1406.13916 / (W x H)
    width, height = SIZES[basis]
    assert grammage(1.0, basis) == pytest.approx(1406.13916 / (width * height), rel=1e-7)


def test_the_same_number_is_not_the_same_card() -> None:
    assert grammage(110, "cover") / grammage(110, "index") == pytest.approx(777.75 / 520)


@pytest.mark.parametrize(("grams", "mm"), [(280, 0.35), (320, 0.41), (350, 0.44), (450, 0.57)])
def test_caliper_guess_covers_measured_boards(grams: float, mm: float) -> None:
    # Babic et al., Tiskarstvo 04: board grammage against thickness
    low, usual, high = guessed_caliper(grams)
    assert low <= mm <= high
    assert usual == pytest.approx(mm, rel=0.05)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("216", 216.0),
        ("216 g/m²", 216.0),
        ("216gsm", 216.0),
        ("270,5 g", 270.5),
        ("110 lb index", 198.9),
        ("110 lb cover", 297.5),
        ("80# text", 118.4),
        ("65 LBS Cover", 175.8),
    ],
)
def test_weights_as_people_write_them(text: str, grams: float) -> None:
    assert parse_weight(text) == pytest.approx(grams, abs=0.06)


@pytest.mark.parametrize("text", ["", "heavy", "80 lb", "80#", "80 lb card", "-5", "9000", "nan", "216 cover", "1e3"])
def test_weights_that_say_too_little_are_refused(text: str) -> None:
    with pytest.raises(WeightError):
        parse_weight(text)


@pytest.mark.parametrize(
    ("text", "mm"), [("0.25", 0.25), ("0,25 mm", 0.25), ("12 pt", 0.3048), (".012 in", 0.3048), ('0.012"', 0.3048)]
)
def test_calipers_as_people_write_them(text: str, mm: float) -> None:
    # one point of caliper is a thousandth of an inch, 0.0254 mm: by definition
    assert parse_caliper(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "thick", "12 in", "-0.2", "1/4"])
def test_calipers_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(WeightError):
        parse_caliper(text)
