"""The helper itself: it must let pass what rounds to the print, and nothing else."""

import pytest

import workbook as wb

SOURCE = "this file"


@pytest.mark.parametrize(
    ("got", "printed"), [(12.6450001, "12.65"), (12.6549999, "12.65"), (-0.44149, "-0.441"), (1.8634e8, "1.863e8")]
)
def test_what_rounds_to_the_print_passes(assert_printed, got, printed):
    assert_printed(got, printed, source=SOURCE)


@pytest.mark.parametrize(
    ("got", "printed"),
    [(12.6449, "12.65"), (12.6551, "12.65"), (0.441, "-0.441"), (1.8636e8, "1.863e8"), (0.0, "5.85e-4")],
)
def test_what_does_not_round_to_the_print_fails(assert_printed, got, printed):
    with pytest.raises(AssertionError):
        assert_printed(got, printed, source=SOURCE)


def test_trailing_noughts_count(assert_printed):
    assert_printed(2.54, "2.5", source=SOURCE)
    with pytest.raises(AssertionError):
        assert_printed(2.54, "2.50", source=SOURCE)


def test_a_unit_behind_the_number_is_taken(assert_printed):
    assert_printed(wb.Quantity(26.911, "m"), "26911 mm", source=SOURCE)
    with pytest.raises(AssertionError):
        assert_printed(wb.Quantity(26.911, "m"), "26.911 ft", source=SOURCE)


def test_a_quantity_without_a_printed_unit_is_no_number(assert_printed):
    with pytest.raises(Exception, match="dimensionless"):
        assert_printed(wb.Quantity(26.911, "m"), "26.911", source=SOURCE)


def test_a_source_is_wanted(assert_printed):
    with pytest.raises(AssertionError, match="source"):
        assert_printed(1.0, "1.0", source=" ")
