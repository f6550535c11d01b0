"""Reel calibration: a measurement on a reel gives its cladding or velocity factor, saved with date and how."""

import datetime
import tomllib

import pytest

import workbook as wb
from workbook.files import shipped
from workbook.line.catalogue import cable_files

DATE = datetime.date(2026, 5, 30)
CLAD = [name for name in wb.cables() if wb.cable(name).is_clad]


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "mine"))
    return tmp_path / "mine"


def test_the_wire_of_astm_b869():
    """ASTM B869-04, table 1: 0.0403 in has at most 31.024 ohm/1000 ft; steel at 9 to 12 % IACS makes that 27 to 35 um
    of copper on average (references 1.1, worked out there).
    """
    found = wb.calibrate_by_resistance(wb.cable("series-6-clad"), "31.024 ohm", "1000 ft")
    assert 27 <= found.cladding.m_as("um") <= 35


@pytest.mark.parametrize("name", CLAD)
@pytest.mark.parametrize("loop", [False, True])
def test_the_cladding_comes_back_from_its_resistance(name, loop):
    cladding = wb.cable(name).model.cladding * 0.93
    made = wb.cable(name).with_cladding(wb.Quantity(cladding, "m"))
    per_metre = made.loop_resistance if loop else wb.Quantity(made.model.centre_resistance, "ohm/m")
    found = wb.calibrate_by_resistance(wb.cable(name), per_metre * wb.Quantity(80, "m"), "80 m", loop=loop)
    assert found.cladding.m_as("m") == pytest.approx(cladding, rel=1e-9)
    low, typical, high = found.cable.span("attenuation", "1.83 MHz")
    wide = wb.cable(name).span("attenuation", "1.83 MHz")
    assert high - low < 0.6 * (wide[2] - wide[0])
    assert low <= typical <= high


def test_an_ordinary_meter_distinguishes_ten_from_thirty_micrometres():
    """100 m of Series 6 differ by more than five ohms, which any meter shows."""
    ten, thirty = (
        wb.cable("series-6-clad").with_cladding(um).model.centre_resistance * 100 for um in ("10 um", "30 um")
    )
    assert ten - thirty > 5


@pytest.mark.parametrize("far_end", ["open", "short"])
@pytest.mark.parametrize("connector", ["0 ns", "0.4 ns"])
def test_a_velocity_factor_comes_back_from_its_check_frequency(far_end, connector):
    made = wb.cable("series-6-copper").with_velocity_factor(0.821, "1.84 MHz")
    seen = wb.check_frequency(made, "20 m", far_end, connector)
    found = wb.calibrate_by_check_frequency(wb.cable("series-6-copper"), seen, "20 m", far_end, connector)
    assert found.cable.velocity_factor("1.84 MHz") == pytest.approx(0.821, abs=2e-6)


def test_printed_velocity_factors():
    """Web article on measuring velocity factor (2013): 50 ft of Series 6 quad, quarter wave at 3.6 MHz, 0.732; 10 ft of
    RG-58, 15.1 MHz, 0.61 (references, second pass 3).
    """
    ideal = wb.ideal_cable("75 ohm", 0.8)
    assert wb.calibrate_by_check_frequency(ideal, "3.6 MHz", "50 ft").velocity_factor == pytest.approx(0.732, abs=5e-4)
    assert wb.calibrate_by_check_frequency(ideal, "15.1 MHz", "10 ft").velocity_factor == pytest.approx(0.61, abs=5e-3)


@pytest.mark.parametrize(
    ("resistance", "length", "words"),
    [
        ("0.1 ohm", "100 m", "all copper"),
        ("100 ohm", "100 m", "all steel"),
        ("13 m", "100 m", "resistance"),
        ("0 ohm", "100 m", "not above zero"),
        ("13 ohm", "0 m", "length"),
    ],
)
def test_resistances_that_fit_no_cladding_are_refused(resistance, length, words):
    with pytest.raises(wb.InputError, match=words):
        wb.calibrate_by_resistance(wb.cable("series-6-clad"), resistance, length)


def test_calibrate_by_resistance_rejects_a_solid_centre():
    with pytest.raises(wb.InputError, match="no clad centre"):
        wb.calibrate_by_resistance(wb.cable("series-6-copper"), "2 ohm", "100 m")


@pytest.mark.parametrize("frequency", ["9 MHz", "1 kHz"])  # faster than light; slower than any dielectric
def test_a_check_frequency_that_no_cable_has_is_refused(frequency):
    with pytest.raises(wb.InputError, match="on 20 m would mean a velocity factor that no cable has"):
        wb.calibrate_by_check_frequency(wb.cable("series-6-copper"), frequency, "20 m")


def test_a_calibrated_cable_is_saved_with_date_and_how(own_folder):
    found = wb.calibrate_by_resistance(wb.cable("series-6-clad"), "9 ohm", "60 m")
    path = wb.save_calibrated_cable(found, "barn-reel", DATE)
    assert path == own_folder / "barn-reel.toml"
    kept = wb.cable("barn-reel")
    # the file holds hundredths of a micrometre
    assert kept.velocity_factor("1.83 MHz") == pytest.approx(found.cable.velocity_factor("1.83 MHz"), rel=1e-5)
    record = tomllib.loads(path.read_text())
    assert record["measured"] == [{"date": "2026-05-30", "how": "centre resistance of 9 ohm over 60 m"}]
    assert "2026-05-30" in record["sources"]["measured-1"]["citation"]


def test_a_second_measurement_joins_the_first():
    wb.save_calibrated_cable(wb.calibrate_by_resistance(wb.cable("series-6-clad"), "9 ohm", "60 m"), "reel-a", DATE)
    seen = wb.calibrate_by_check_frequency(wb.cable("reel-a"), "3.1 MHz", "20 m")
    wb.save_calibrated_cable(seen, "reel-b", DATE)
    both = wb.cable("reel-b")
    assert both.velocity_factor("3.1 MHz") == pytest.approx(seen.velocity_factor, rel=1e-5)
    assert len(both.record.measured) == 2
    assert both.record.centre.cladding.typical.value.m_as("um") == pytest.approx(11.4, abs=0.1)


def test_saving_may_hide_a_bundled_cable_and_never_overwrites(own_folder):
    found = wb.calibrate_by_resistance(wb.cable("series-6-clad"), "9 ohm", "60 m")
    wb.save_calibrated_cable(found, "series-6-clad", DATE)
    assert cable_files()["series-6-clad"].parent == own_folder
    with pytest.raises(wb.InputError, match="already there"):
        wb.save_calibrated_cable(found, "series-6-clad", DATE)


@pytest.mark.parametrize("name", ["", "My Reel", "../escape", "a" * 70, "reel.toml", "-reel"])
def test_save_rejects_what_cannot_be_a_name(name, own_folder):
    found = wb.calibrate_by_resistance(wb.cable("series-6-clad"), "9 ohm", "60 m")
    with pytest.raises(wb.InputError, match="name"):
        wb.save_calibrated_cable(found, name, DATE)
    assert not own_folder.exists()


def test_save_rejects_a_cable_without_record():
    found = wb.calibrate_by_check_frequency(wb.ideal_cable("75 ohm", 0.8), "3.6 MHz", "50 ft")
    with pytest.raises(wb.InputError, match="catalogue"):
        wb.save_calibrated_cable(found, "ideal-reel", DATE)


def test_the_bundled_files_are_untouched(own_folder):
    before = {path: path.read_bytes() for path in shipped("cable_data").iterdir()}
    wb.save_calibrated_cable(wb.calibrate_by_resistance(wb.cable("series-6-clad"), "9 ohm", "60 m"), "reel-c", DATE)
    assert {path: path.read_bytes() for path in shipped("cable_data").iterdir()} == before
