"""The practice set: the files are those that the script makes, and its answers."""

import make_practice as made
import pytest

import workbook as wb
from workbook.files import demo
from workbook.plan.as_built import as_built
from workbook.plan.single_faults import SingleFault, levels_in, likeliest_fault
from workbook.plan.trimming import trim_plan
from workbook.tables.measuring import contradictions


@pytest.fixture(scope="module")
def plan():
    return wb.load_design(demo()).stages()


@pytest.fixture(scope="module")
def lines():
    cable = wb.cable("series-6-copper")
    found = {}
    for path in made.FOLDER.glob("*.s1p"):
        sweep = wb.read_sweep(path)
        found[path.stem.replace("-", " ")] = wb.measure_line(open=sweep, cable=cable, connector_delay="0.11 ns")
    return found


def test_the_files_are_those_that_the_script_makes():
    """To four digits: SciPy's Bessel functions may differ in the last ones elsewhere."""
    for path, text in made.files().items():
        shipped = path.read_text().splitlines()
        assert len(shipped) == len(text.splitlines())
        for ours, theirs in zip(shipped, text.splitlines(), strict=True):
            if ours[0].isdigit():
                assert list(map(float, ours.split())) == pytest.approx(list(map(float, theirs.split())), abs=1e-4)
            else:
                assert ours == theirs


def test_every_file_says_that_it_is_simulated():
    for path in made.FOLDER.iterdir():
        assert "simulated" in path.read_text().splitlines()[0]


def test_the_long_run_and_the_line_from_another_reel_are_found(plan, lines):
    """The run is 0.4 m long; the line's delay is that of 0.846 against 0.822, 2.9 % late."""
    trims = {one.name: one for one in trim_plan(plan, lines)}
    assert {name for name, one in trims.items() if one.advice.verdict == "trim"} == {made.LONG_RUN, made.OTHER_LINE}
    assert trims[made.LONG_RUN].advice.cut_off.m_as("m") == pytest.approx(made.LONG_M, abs=0.02)
    late = trims[made.OTHER_LINE].advice.delay.m_as("ns") / (plan.line("B").delay_s * 1e9) - 1
    assert late == pytest.approx(made.VELOCITY / made.OTHER_REEL - 1, abs=2e-3)


def test_the_poor_joint_is_seen_and_found(lines):
    at = wb.Quantity(1.84, "MHz")
    rough = [name for name, line in lines.items() if contradictions(line, at)]
    assert rough == [made.JOINT_RUN]
    sweep = wb.read_sweep(made.FOLDER / "run-6.s1p")
    first = wb.distance_response(sweep, wb.cable("series-6-copper")).reflectors[0]
    assert first.kind == "higher"
    assert first.distance.m_as("m") == pytest.approx(made.JOINT_M, abs=0.3)


def test_the_swapped_elements_are_the_likeliest_fault(plan):
    levels = levels_in((made.FOLDER / "levels.txt").read_text())
    found = likeliest_fault(plan, made.SOURCE, levels)
    assert found.fault == SingleFault("swapped", made.SWAPPED)


def test_the_array_as_built_loses_by_the_line_from_another_reel(plan, lines):
    assert as_built(plan, lines).corrections[0].piece == made.OTHER_LINE
