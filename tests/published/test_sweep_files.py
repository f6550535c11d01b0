"""The example networks that scikit-rf publishes with its package, read by the workbook and by scikit-rf itself."""

from pathlib import Path

import numpy as np
import pytest
import skrf

import workbook as wb

FILES = sorted(path for path in Path(skrf.data.__file__).parent.iterdir() if path.suffix in (".s1p", ".s2p"))


def test_there_are_examples():
    assert len(FILES) > 10


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_an_example_network_is_read_as_scikit_rf_reads_it(path):
    theirs = skrf.Network(str(path))
    ours = wb.read_sweep(path)
    assert ours.s == pytest.approx(theirs.s, abs=1e-12)
    assert ours.frequency.m_as("Hz") == pytest.approx(theirs.f, rel=1e-12)
    assert ours.port_impedance.m_as("ohm") == pytest.approx(theirs.z0[0, 0].real)


def test_the_example_line_is_measured_through():
    """The waveguide line "line.s2p" of 75 to 110 GHz begins too high: how many turns lie below it is not guessed."""
    sweep = wb.read_sweep(next(path for path in FILES if path.name == "line.s2p"))
    assert np.all(sweep.frequency.m_as("GHz") >= 10)
    with pytest.raises(wb.InputError, match="sweep"):
        wb.measure_line(through=sweep)
