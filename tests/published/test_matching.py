"""Pads, mismatch, transformers and matching sections against printed values; see the source of each."""

import math

import numpy as np
import pytest

import workbook as wb
from workbook.formulas import twoports
from workbook.matching.direct import mismatch_loss
from workbook.matching.pad import nearest_value
from workbook.matching.sections import quarter_wave_impedance

Q = wb.Quantity
BY_COMPANION = "(values by way of a textbook companion)"
FROM_MEMORY = "common knowledge of the trade, from memory"


def test_75_to_50_ohm_pad(assert_printed):
    pad = wb.minimum_loss_pad("75 ohm", "50 ohm")
    assert_printed(pad.series, "43.30 ohm", source=FROM_MEMORY)
    assert_printed(pad.shunt, "86.60 ohm", source=FROM_MEMORY)
    assert_printed(pad.loss, "5.72 dB", source=FROM_MEMORY)


PAD_TABLE = "table of minimum-loss pads from 600 ohm, a web table that looks like a handbook's, seen"

# low side: series, shunt, loss as printed
PADS = {
    500: ("245", "1225", "3.8"),
    400: ("346", "694", "5.7"),
    300: ("424", "425", "7.6"),
    250: ("458", "328", "8.7"),
    200: ("490", "245", "10.0"),
    150: ("520", "173", "11.4"),
    100: ("548", "110", "13.4"),
    75: ("561", "80.2", "14.8"),
    50: ("575", "52.2", "16.6"),
}

# as R1 R2 = Z1 Z2 exactly, the maker of the table divided by the other resistor as printed, whose rounding then shows:
# 600 x 400/346 = 693.6 is printed 694, where 692.8 is right
FROM_THE_OTHER = {(400, "shunt"), (300, "shunt"), (250, "shunt"), (50, "series")}


@pytest.mark.parametrize("low", PADS)
def test_pads_from_600_ohm(assert_printed, low):
    pad = wb.minimum_loss_pad("600 ohm", Q(low, "ohm"))
    series, shunt, loss = PADS[low]
    got = {"series": (pad.series.m_as("ohm"), series, shunt), "shunt": (pad.shunt.m_as("ohm"), shunt, series)}
    for what, (value, printed, other) in got.items():
        if (low, what) in FROM_THE_OTHER:
            assert value == pytest.approx(float(printed), abs=1.2), "the slip is small"
            value = 600 * low / float(other)
        assert_printed(value, printed, source=PAD_TABLE)
    # 7.656 dB is printed 7.6: one unit of the last figure low, the only loss in the table that is
    assert_printed(pad.loss, "7.7 dB" if low == 300 else f"{loss} dB", source=PAD_TABLE)


def test_a_3_db_t_pad_as_two_ports_in_a_row(assert_printed):
    """Checks the chain matrices of resistors: a T of 8.56, 141.8 and 8.56 ohm between 50 and 50 ohm."""
    arm, leg = twoports.series(8.56), twoports.shunt(141.8)
    back, _, passed, _ = twoports.scattering(twoports.cascade((arm, leg, arm)), 50.0, 50.0)
    source = f"Pozar, example 4.4, page 198 {BY_COMPANION}"
    assert_printed(passed, "0.7077", source=source)
    assert_printed(abs(back), "0.00004", source=source)


def test_mismatch_loss(assert_printed):
    for load in ("50 ohm", "112.5 ohm"):  # SWR 1.5 to either side of 75 ohm
        assert_printed(mismatch_loss("75 ohm", load), "0.177 dB", source=FROM_MEMORY)
    source = f"Balanis, example 2.10, page 68, and Mishra, example 2.2, page 22 {BY_COMPANION}"
    assert_printed(mismatch_loss("50 ohm", "73 ohm"), "0.1546 dB", source=source)


@pytest.mark.parametrize(
    ("source", "load", "printed", "book"),
    [
        ("50 ohm", "100 ohm", "70.71", "Pozar, example 2.5"),
        ("150 ohm", "300 ohm", "212.132", "Mishra, example 3.5"),
        ("50 ohm", "88.38 ohm", "66.476", "Blake, example 14.15"),
        ("10 ohm", "50 ohm", "22.36", "Pozar, example 5.5, page 275"),
    ],
)
def test_quarter_wave_impedance(assert_printed, source, load, printed, book):
    assert_printed(quarter_wave_impedance(source, load), f"{printed} ohm", source=f"{book} {BY_COMPANION}")
    section = wb.quarter_wave_match(source, load, "7 MHz").sections[0]
    assert_printed(section.impedance, f"{printed} ohm", source=f"{book} {BY_COMPANION}")
    assert section.electrical_length.m_as("degree") == pytest.approx(90, abs=1e-12)


def test_quarter_wave_bandwidth(assert_printed):
    """Band of SWR 1.5 over its middle, 10 to 50 ohm; the loss is not limited there."""
    low, high = wb.quarter_wave_match("50 ohm", "10 ohm", "300 MHz").usable_band(1.5, "60 dB")
    source = f"Pozar, example 5.5, page 275 {BY_COMPANION}"
    assert_printed((high - low).m_as("MHz") / 300, "0.29", source=source)
    assert (high + low).m_as("MHz") == pytest.approx(600, rel=1e-9)


def test_twelfth_wave_pair(assert_printed):
    source = "J. Bramham, 1961, and F. Regier, QST 1978, from memory"
    for section in wb.twelfth_wave_match("75 ohm", "50 ohm", "1.83 MHz").sections:
        assert_printed(section.electrical_length.m_as("degree"), "29.3", source=source)
        assert_printed(section.electrical_length.m_as("turn"), "0.0815", source=source)


@pytest.mark.parametrize(
    ("line", "section", "load"),
    [(50, 75, 38), (50, 75, 62 - 12j), (75, 50, 50), (50, 300, 30 + 20j), (75, 50, 60 + 5j), (50, 25, 75 - 10j)],
)
def test_series_section_by_regier(line, section, load):
    """F. Regier, QST 1978, from memory: with n = Z1/Z0, r + jx = ZL/Z0, l1 beside the load and l2 the section,

    tan l2 = +-sqrt(((r - 1)^2 + x^2)/(r (n - 1/n)^2 - (r - 1)^2 - x^2)),
    tan l1 = ((n - r/n) tan l2 + x)/(r + x n tan l2 - 1).
    """
    n, r, x = section / line, np.real(load) / line, np.imag(load) / line
    found = []
    for sign in (1, -1):
        far = sign * math.sqrt(((r - 1) ** 2 + x**2) / (r * (n - 1 / n) ** 2 - (r - 1) ** 2 - x**2))
        near = ((n - r / n) * far + x) / (r + x * n * far - 1)
        found.append([math.degrees(math.atan(t)) % 180 for t in (far, near)])
    ours = wb.series_section_match(Q(line, "ohm"), Q(section, "ohm"), Q(load, "ohm"), "7.1 MHz").sections
    assert [part.impedance.m_as("ohm") for part in ours] == [section, line]
    assert [part.electrical_length.m_as("degree") for part in ours] == pytest.approx(min(found, key=sum), abs=1e-9)


def test_best_of_many_turns_has_the_printed_ratio(assert_printed):
    best = wb.transformer_turns("75 ohm", "50 ohm", 200)
    assert_printed(best.source / best.load, "1.2247", source=FROM_MEMORY)


E96 = """100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 158 162 165 169 174 178 182 187 191
196 200 205 210 215 221 226 232 237 243 249 255 261 267 274 280 287 294 301 309 316 324 332 340 348 357 365 374 383 392
402 412 422 432 442 453 464 475 487 499 511 523 536 549 562 576 590 604 619 634 649 665 681 698 715 732 750 768 787 806
825 845 866 887 909 931 953 976"""

E24 = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91"


@pytest.mark.parametrize(("count", "listed"), [(96, E96), (24, E24)])
def test_preferred_values(count, listed):
    """IEC 60063, from memory: each is its own nearest, in every decade, and there are no others."""
    values = np.array([float(value) for value in listed.split()])
    assert len(values) == count
    for decade in (0.01, 1, 1000):
        ours = nearest_value(Q(values * decade, "ohm"), count).m_as("ohm")
        assert ours == pytest.approx(values * decade, rel=1e-12)
    everywhere = nearest_value(Q(np.geomspace(values[0], values[-1], 3000), "ohm"), count).m_as("ohm")
    assert set(np.round(everywhere, 6)) == set(values)
