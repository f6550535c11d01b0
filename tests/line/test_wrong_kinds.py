"""Whatever comes as any argument of any public function of lines, bench, units and bands: an answer or a refusal."""

import datetime
import decimal
import fractions
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pint
import pytest

import workbook as wb
from workbook.line.losses import compare_losses, matched_loss, matched_range, published_points, root_rule
from workbook.line.piece import (
    check_range,
    delay_coefficient,
    kind_of,
    nominal_errors,
    over_claddings,
    piece,
    thermal_drift,
)

Q = wb.Quantity
CLAD, COPPER, TABLE = wb.cable("series-6-clad"), wb.cable("series-6-copper"), wb.cable("rg-8x-foam")
IDEAL = wb.ideal_cable("75 ohm", 0.66)
PIECE = piece(CLAD, "1.83 MHz", "100 ns")
SWEEP = wb.Sweep(Q([1.0, 2.0, 3.0, 4.0], "MHz"), np.zeros((4, 1, 1), complex), Q(50, "ohm"))
REEL = wb.calibrate_by_resistance(CLAD, "13.78 ohm", "100 m")

CALLS: dict[str, tuple[Callable[..., Any], dict[str, Any]]] = {
    "Quantity": (Q, {"value": 5.0, "units": "m"}),
    "Quantity of text": (Q, {"value": "5 m", "units": "m"}),
    "quantity": (wb.quantity, {"text": "5 m"}),
    "feet_inches": (wb.feet_inches, {"length": "5 m"}),
    "bands": (wb.bands, {"region": 2}),
    "band": (wb.band, {"name": "160 m", "region": 2}),
    "cable": (wb.cable, {"name": "series-6-clad"}),
    "attenuation": (CLAD.attenuation, {"frequency": "1.83 MHz"}),
    "velocity_factor": (TABLE.velocity_factor, {"frequency": "1.83 MHz"}),
    "group_velocity_factor": (COPPER.group_velocity_factor, {"frequency": "1.83 MHz"}),
    "characteristic_impedance": (IDEAL.characteristic_impedance, {"frequency": "1.83 MHz"}),
    "propagation_constant": (CLAD.propagation_constant, {"frequency": "1.83 MHz"}),
    "span": (CLAD.span, {"quantity": "attenuation", "frequency": "1.83 MHz"}),
    "network": (COPPER.network, {"frequency": "1.83 MHz", "length": "10 m", "port_impedance": "75 ohm"}),
    "with_cladding": (CLAD.with_cladding, {"thickness": "10 um"}),
    "with_velocity_factor": (CLAD.with_velocity_factor, {"value": 0.83, "frequency": "1.83 MHz"}),
    "conductor_impedance": (
        wb.conductor_impedance,
        {"frequency": "1.83 MHz", "radius": "0.5 mm", "layers": None, "inner_radius": "0.2 mm"},
    ),
    "layers": (wb.conductor_impedance, {"frequency": "1.83 MHz", "radius": "0.5 mm", "layers": None}),
    "shield_impedance": (
        wb.shield_impedance,
        {"frequency": "1.83 MHz", "radius": "2 mm", "thickness": "9 um", "conductivity": "35 MS/m"}
        | {"relative_permeability": 1},
    ),
    "electrical_length": (
        wb.electrical_length,
        {"length": "10 m", "frequency": "1.83 MHz", "velocity_factor": 0.66},
    ),
    "physical_length": (
        wb.physical_length,
        {"electrical_length": "71 deg", "frequency": "1.83 MHz", "velocity_factor": COPPER},
    ),
    "delay_length": (wb.delay_length, {"delay": "38 ns", "velocity_factor": 0.66, "frequency": "1.83 MHz"}),
    "phase_of_delay": (wb.phase_of_delay, {"delay": "38 ns", "frequency": "1.83 MHz"}),
    "total_loss": (
        wb.total_loss,
        {"cable": CLAD, "length": "10 m", "frequency": "1.83 MHz", "load": "50 ohm"},
    ),
    "input_impedance": (
        wb.input_impedance,
        {"cable": CLAD, "length": "10 m", "frequency": "1.83 MHz", "load": "50 ohm"},
    ),
    "check_frequency": (
        wb.check_frequency,
        {"cable": CLAD, "length": "10 m", "far_end": "open", "connector_delay": "0.1 ns"},
    ),
    "length_from_check_frequency": (
        wb.length_from_check_frequency,
        {"cable": CLAD, "frequency": "5 MHz", "far_end": "open", "connector_delay": "0.1 ns"},
    ),
    "constant_cable": (
        wb.constant_cable,
        {"resistance": "0.1 ohm/m", "inductance": "0.25 uH/m", "conductance": "1 uS/m", "capacitance": "67 pF/m"},
    ),
    "ideal_cable": (wb.ideal_cable, {"impedance": "75 ohm", "velocity_factor": 0.66}),
    "Cable": (wb.Cable, {"model": COPPER.model, "name": "a", "nominal_velocity_factor": 1, "nominal_impedance": 1}),
    "calibrate_by_resistance": (
        wb.calibrate_by_resistance,
        {"cable": CLAD, "resistance": "13.78 ohm", "length": "100 m", "loop": False},
    ),
    "calibrate_by_check_frequency": (
        wb.calibrate_by_check_frequency,
        {"cable": CLAD, "frequency": "3.6 MHz", "length": "50 ft", "far_end": "open", "connector_delay": "0 ns"},
    ),
    "save_calibrated_cable": (
        wb.save_calibrated_cable,
        {"calibrated": REEL, "name": "series-6-clad", "date": datetime.date(2026, 5, 30), "folder": None},
    ),
    "read_sweep": (wb.read_sweep, {"path": "sweep.s1p"}),
    "Sweep": (wb.Sweep, {"frequency": SWEEP.frequency, "s": SWEEP.s, "port_impedance": "50 ohm"}),
    "check_frequency_in": (wb.check_frequency_in, {"sweep": SWEEP, "far_end": "open"}),
    "trim_advice": (
        wb.trim_advice,
        {"cable": CLAD, "measured_check_frequency": "2.45 MHz", "wanted_delay": "100 ns"}
        | {"band_frequency": "1.83 MHz", "accept": "1 deg", "far_end": "open", "connector_delay": "0.1 ns"},
    ),
    "matched_loss": (matched_loss, {"cable": CLAD, "length": "10 m", "frequency": "1.83 MHz"}),
    "matched_range": (matched_range, {"cable": CLAD, "length": "10 m", "frequency": "1.83 MHz"}),
    "root_rule": (root_rule, {"cable": CLAD}),
    "published_points": (published_points, {"cable": CLAD}),
    "compare_losses": (
        compare_losses,
        {"cables": [CLAD], "length": "10 m", "load": "50 ohm", "band_of_interest": "160 m"},
    ),
    "kind_of": (kind_of, {"given": "5 m"}),
    "piece": (piece, {"cable": CLAD, "frequency": "1.83 MHz", "given": "5 m", "velocity": "true"}),
    "check_range": (check_range, {"one": PIECE, "whole": CLAD}),
    "over_claddings": (over_claddings, {"one": PIECE, "whole": CLAD}),
    "nominal_errors": (nominal_errors, {"one": PIECE, "region": 2}),
    "delay_coefficient": (delay_coefficient, {"value": "5 ppm/K"}),
    "thermal_drift": (thermal_drift, {"one": PIECE, "coefficient": "5 ppm/K"}),
}

UNITS = ("m", "mm", "Hz", "MHz", "s", "degree", "ohm", "ohm/m", "S/m", "H/m", "F/m", "dB", "dB/m", "ppm/K", "degC", "")
NUMBERS = (0, -1, 5, 1e-320, 1e-30, 1e30, 1e300, 10**400, math.nan, math.inf, -math.inf, 1 + 2j, complex("nan"))
WRONG: list[Any] = [
    *(None, True, False, *NUMBERS),
    *("", " ", "5", "m", "5 m\0", "\ud800", "5 m\ud800", "x" * 300, b"5 m", Path("5 m")),
    *([], [5], ["5 m"], [[1], [2, 3]], (), ("5 m",), {}, {"m": 5}, {5}, range(3), object(), len, int, wb, ...),
    *(datetime.date(2026, 1, 1), decimal.Decimal("5"), fractions.Fraction(1, 3), np.float64(5), np.bool_(True)),
    *(np.array([]), np.array(5.0), np.ones((2, 3)), np.array(["a"]), np.array([None])),
    np.ma.masked_array([1.0], [True]),
    *(CLAD, PIECE, SWEEP, REEL, IDEAL, Q("5 m").units, pint.UnitRegistry().Quantity(5, "m")),
    *(Q(value, unit) for unit in UNITS for value in (5, 0, -1, 1e300, 1e-300, math.inf, 1j)),
    *(Q(value, "m") for value in (math.nan, [1, 2, 3], [], [[1.0], [2.0]], object(), 10**300)),
    Q(np.array([1, 2], object), "m"),
    *("5 kg", "5 m m", "5 m**9", "5 m/s", "160 m", "open", "attenuation", "nominal"),
]  # fmt: skip


@pytest.mark.filterwarnings("ignore::RuntimeWarning")  # sizes beyond those of numbers are not another kind
@pytest.mark.parametrize(("name", "argument"), [(name, one) for name, (_, given) in CALLS.items() for one in given])
def test_any_kind_is_answered_or_refused(tmp_path, monkeypatch, name, argument):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "cables"))
    call, given = CALLS[name]
    others = []
    for wrong in WRONG:
        try:
            call(**{**given, argument: wrong})
        except wb.InputError as error:
            text = str(error)
            if "\n" in text or text[-1] not in ".?" or len(text) > 500:
                others.append(f"{wrong!r:.60} -> {text!r}")
        except Exception as error:
            others.append(f"{_shown(wrong)} -> {type(error).__name__}: {error!s:.120}")
    assert not others, "\n".join(others)


def _shown(value: Any) -> str:
    try:
        return f"{value!r:.60}"
    except Exception:
        return type(value).__name__


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: wb.calibrate_by_resistance("series-6-clad", "13.78 ohm", "100 m"), "cable"),
        (lambda: wb.calibrate_by_resistance(CLAD, "13.78 ohm", "100 m", loop=1), "loop"),
        (lambda: wb.calibrate_by_resistance(CLAD, "13.78 ohm", "100 m", loop="no"), "loop"),
        (lambda: wb.calibrate_by_check_frequency(None, "3.6 MHz", "50 ft"), "cable"),
        (lambda: wb.save_calibrated_cable(CLAD, "reel", datetime.date(2026, 5, 30)), "calibrated"),
        (lambda: wb.save_calibrated_cable(REEL, "reel", "2026-05-30"), "date"),
        (lambda: wb.check_frequency_in(None), "sweep"),
        (lambda: wb.read_sweep(None), "path"),
        (lambda: wb.read_sweep("a\0.s1p"), "path"),
        (lambda: wb.read_sweep("\ud800.s1p"), "path"),
        (lambda: wb.trim_advice("series-6-clad", "2.45 MHz", "100 ns", "1.83 MHz"), "cable"),
        (lambda: wb.bands(True), "region"),
        (lambda: compare_losses(CLAD, "10 m", "50 ohm"), "cables"),
        (lambda: compare_losses(["series-6-clad"], "10 m", "50 ohm"), "cables"),
    ],
)
def test_a_wrong_kind_is_refused_by_the_name_of_the_argument(call, where):
    with pytest.raises(wb.InputError) as caught:
        call()
    assert caught.value.where == (where,)
