"""The designs that come with the worksheets: the one that opens, and one for each of the other rules."""

import pytest

import workbook as wb
from workbook.files import demo, shipped
from workbook.worksheets import design_files


@pytest.fixture(scope="module")
def eight():
    return wb.load_design(demo()).plan()


def test_the_demo_that_opens_is_a_ring_of_eight_on_two_bands_with_two_delay_lines(eight):
    assert (eight.rule, len(eight.elements), len(eight.bands), len(eight.directions)) == ("fewest-delays", 8, 2, 8)
    assert [line.label for line in eight.delay_lines] == ["A", "B"]
    for direction in eight.directions:
        assert len({feed.line for feed in direction.elements} - {None}) == 2


def test_the_demo_keeps_its_white_noise_limit_in_every_direction_and_on_every_band(eight):
    limit = wb.load_design(demo()).content.phasing.least_white_noise_gain.m_as("dB")
    assert min(band.white_noise_gain_db for one in eight.directions for band in one.bands) >= limit


def test_the_least_rdf_of_the_demos_two_lines_is_a_decibel_over_that_of_the_aligned_ring(eight):
    aligned = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").plan()
    assert len(aligned.delay_lines) == 4
    few, many = (min(band.rdf_db for one in plan.directions for band in one.bands) for plan in (eight, aligned))
    assert few > many + 1


def test_the_demo_is_opened_first_and_the_other_rules_have_demos(eight):
    folder = shipped("notebooks")
    assert design_files(folder)[0] == demo().name
    rules = {wb.load_design(folder / name).content.phasing.rule for name in design_files(folder)}
    assert rules >= {"fewest-delays", "aligned", "endfire"}
