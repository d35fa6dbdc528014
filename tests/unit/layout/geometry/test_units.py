"""Lengths as people write them; 1 in = 25.4 mm is the definition of the international inch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.geometry.units import UnitError, format_length, parse_length, parse_sides


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("2 1/4", "in", 57.15),
        ("2-1/4", "in", 57.15),
        ("2¼", "in", 57.15),
        ("2.25 in", "mm", 57.15),
        ('2.25"', "mm", 57.15),
        ("3/16″", "mm", 4.7625),
        ("-1/16 in", "mm", -1.5875),
        ("57 mm", "in", 57.0),
        ("57mm", "in", 57.0),
        ("5,7 cm", "in", 57.0),
        (".5", "cm", 5.0),
        ("57", "mm", 57.0),
    ],
)
def test_reads_what_people_write(text, unit, mm):
    assert parse_length(text, unit) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("text", ["", "abc", "1/0", "2 3", "1.5.2", "7 ells", "nan", "inf", "1e3"])
def test_refuses_what_is_no_length(text):
    with pytest.raises(UnitError, match="write"):
        parse_length(text)


@pytest.mark.parametrize("text", ["2 1/4 x 1 1/2 in", "2 1/4 in × 1.5 in", "2.25 by 1.5 in", "57.15 mm x 1 1/2 in"])
def test_reads_two_sides(text):
    assert parse_sides(text) == pytest.approx((57.15, 38.1))


def test_one_side_is_not_two():
    with pytest.raises(UnitError, match="two sides"):
        parse_sides("57 mm")


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (57.15, "in", "2 1/4″"),
        (25.4, "in", "1″"),
        (0.0, "in", "0″"),
        (1.5875, "in", "1/16″"),
        (-1.5875, "in", "-1/16″"),
        (10.0, "in", "0.394 in"),
        (57.0, "mm", "57 mm"),
        (0.04, "mm", "0 mm"),
        (-0.01, "mm", "0 mm"),
        (57.04, "cm", "5.7 cm"),
    ],
)
def test_writes_for_people(mm, unit, text):
    assert format_length(mm, unit) == text


@given(st.integers(-4000, 4000))
def test_every_sixteenth_comes_back(parts):
    mm = parts * 25.4 / 16
    assert parse_length(format_length(mm, "in")) == pytest.approx(mm, abs=1e-9)


@given(st.floats(-1000, 1000), st.sampled_from(["mm", "cm", "in"]))
def test_what_is_written_reads_back_within_the_shown_step(mm, unit):
    assert parse_length(format_length(mm, unit)) == pytest.approx(mm, abs=0.06)
