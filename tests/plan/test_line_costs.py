"""What errors of lines and runs cost, beside faults put into the same array by `fault_report`."""

import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.firings import firing
from workbook.plan.line_costs import LineCosts
from workbook.tables.costs import printed_cost
from workbook.tables.cuts import band_table


@pytest.fixture(scope="module")
def plan():
    return wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").plan()


def by_faults(plan, band, elements_of, degrees):
    """The most that elements late by degrees lose, of all directions."""
    found = []
    for one in plan.directions:
        late = elements_of(one)
        if late:
            fault = wb.faults.ChannelError(lag=f"{degrees} deg", level=wb.Quantity(0, "dB"), elements=late)
            report = wb.fault_report(firing(plan, one.name, band), [fault])
            found.append((report.rdf_lost.m_as("dB"), report.front_to_back_lost.m_as("dB")))
    return tuple(max(column) for column in zip(*found, strict=True))


@pytest.mark.parametrize("band", ["160 m", "80 m"])
@pytest.mark.parametrize("label", ["A", "D"])
def test_a_late_line_costs_what_the_same_fault_does(plan, band, label):
    def through(one):
        return [n for n, feed in enumerate(one.elements) if feed.line == label]

    assert LineCosts(plan).of_line(label, band, 7.5) == pytest.approx(by_faults(plan, band, through, 7.5), abs=1e-9)


def test_a_late_run_costs_the_most_of_all_elements_and_bands(plan):
    seconds = 12 / 360 / 3.6e6
    found = [
        by_faults(plan, band.name, lambda _, n=n: [n], 360 * band.frequency_hz * seconds)
        for band in plan.bands
        for n in range(8)
    ]
    worst = tuple(max(column) for column in zip(*found, strict=True))
    assert LineCosts(plan).of_run(seconds) == pytest.approx(worst, abs=1e-9)


@pytest.mark.parametrize("band", ["160 m", "80 m"])
def test_a_stake_that_is_off_costs_the_most_of_all_elements_early_or_late(plan, band):
    found = [by_faults(plan, band, lambda _, n=n: [n], late) for late in (6.0, -6.0) for n in range(8)]
    worst = tuple(max(column) for column in zip(*found, strict=True))
    assert LineCosts(plan).of_element(band, 6.0) == pytest.approx(worst, abs=1e-9)


def test_a_piece_of_a_ladder_delays_all_that_enter_farther_out():
    row = wb.load_design(shipped("notebooks") / "heron-fen-row.toml").plan()
    assert row.hub == "ladder"
    along = [line.label for line in row.delay_lines]

    def behind(one):
        return [n for n, feed in enumerate(one.elements) if feed.line in along[1:]]

    cost = LineCosts(row).of_line(along[1], "80 m", 4.0)
    assert cost == pytest.approx(by_faults(row, "80 m", behind, 4.0), abs=1e-9)


def test_the_table_says_beside_every_error_what_it_costs(plan):
    table = band_table(plan)
    here = [n for n, heading in enumerate(table.headings) if heading.startswith("costs")]
    assert [table.headings[n - 1] for n in here] == ["error deg", "error at printed velocity factor deg"]
    for row in table.rows:
        cost = LineCosts(plan).of_line(row[0], row[1], float(row[here[1] - 1]))
        assert row[here[0]] == "does not matter"
        assert (row[here[1]] == "does not matter") != cost.matters


def test_lines_by_the_printed_velocity_factor_are_priced_together(plan):
    assert printed_cost(plan).startswith("All lines cut by the printed velocity factor would cost")
