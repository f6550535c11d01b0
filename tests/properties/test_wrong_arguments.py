"""Every public function, class and method with arguments of a wrong kind: an `InputError` or a valid answer.

One to three arguments of a valid call are replaced. Nothing but `InputError` may come, no warning (pytest makes each
an error), no not-a-number, and no call may last longer than five seconds.

    pytest tests/properties/test_wrong_arguments.py --campaign 100000
"""

import dataclasses
import datetime
import decimal
import fractions
import inspect
import random
import resource
import signal
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pint
import pytest

import workbook as wb

Q = wb.Quantity
ROOT = Path(__file__).parents[2]
DESIGN = ROOT / "notebooks" / "heron-fen-square.toml"
SECONDS, MEMORY = 5.0, 1 << 30

# classes that a user makes; all others are results, made by functions alone, so that only their methods are called here
MADE_BY_USERS = set(
    "CableRuns Channel Core DcSupply FeedRun Firing FrontEnd Ground Layout Measured ReceiveBand ShortVertical Stage "
    "Tolerance Transmitter".split()
)
# the class of pint, the error itself, and a module of worksheets
NOT_CALLED = {"Quantity", "InputError", "panels", "faults"}
# a method that takes one of these works on plain SI numbers and belongs to the inside, where nothing is checked again
# or changes a parsed file by a function of the workbook's own
PLAIN = {"hertz", "ports", "change"}


# --- valid calls ------------------------------------------------------------------------------------------


def _layout() -> Any:
    return wb.ring(4, "30 m", "0 deg")


def _firing() -> Any:
    return wb.Firing(_layout(), [1, -1j, -1j, -1], "1.83 MHz", "0 deg", "20 deg", wb.Ground(13, "5 mS/m"))


def _sweep() -> Any:
    hertz = np.linspace(1e6, 10e6, 91)
    cable = wb.cable("series-6-copper")
    seen = wb.input_impedance(cable, "12 m", Q(hertz, "Hz"), Q(np.inf, "ohm")).m_as("ohm")
    return wb.Sweep(Q(hertz, "Hz"), ((seen - 50) / (seen + 50))[:, None, None], Q(50.0, "ohm"))


def _channel(line: Any, length: Any) -> Any:
    return wb.Channel("75 ohm", wb.cable("series-6-copper"), "20 m", line, length, "50 ohm")


def _tolerance() -> Any:
    return wb.Tolerance("amplitude", "normal", standard_uncertainty=0.01)


def _match() -> Any:
    return wb.quarter_wave_match("75 ohm", "50 ohm", "1.83 MHz")


# a valid value of every argument by its name; a name that means another thing somewhere stands in OWN
VALID: dict[str, Callable[[], Any]] = {
    "accept": lambda: "1 degree",
    "assumed": lambda: 0.85,
    "confidence": lambda: 0.9,
    "coverage": lambda: 0.9,
    "executor": lambda: None,
    "factor": lambda: 2.0,
    "faults": lambda: [wb.faults.DeadElement(2)],
    "figure": lambda: "rdf",
    "figures": lambda: ("rdf",),
    "half_width": lambda: None,
    "kind": lambda: "normal",
    "least": lambda: "3 dB",
    "phase_error": lambda: "3 deg",
    "same_line": lambda: (),
    "seed": lambda: 1,
    "shared": lambda: "each",
    "standard_uncertainty": lambda: 0.01,
    "tolerances": lambda: [_tolerance()],
    "trials": lambda: 100,
    "true": lambda: 0.83,
    "units": lambda: "feet",
    "what": lambda: "amplitude",
    "azimuth": lambda: "45 deg",
    "bands": lambda: ["160 m"],
    "cable": lambda: wb.cable("series-6-clad"),
    "cables": lambda: None,
    "capacitance": lambda: "54 pF/m",
    "channels": lambda: [_channel(None, None), _channel(wb.cable("series-6-copper"), "12 m")],
    "conductance": lambda: "0 S/m",
    "conductivity": lambda: "5 mS/m",
    "connector_delay": lambda: "0.1 ns",
    "core": lambda: wb.Core(),
    "count": lambda: 4,
    "coupling": lambda: 0.998,
    "core_q": lambda: 5.0,
    "date": lambda: datetime.date(2026, 3, 1),
    "declination": lambda: "2 deg",
    "delay": lambda: "40 ns",
    "delays": lambda: Q([0.0, 48.0], "ns"),
    "diameter": lambda: "30 m",
    "directions": lambda: None,
    "electrical_length": lambda: "71 deg",
    "elevation": lambda: "20 deg",
    "example": lambda: "20 m",
    "far_end": lambda: "open",
    "firing": _firing,
    "direct": lambda: _channel(None, None),
    "level": lambda: "0 dB",
    "line_lengths": lambda: Q([0.0, 12.0], "m"),
    "port_tolerance": lambda: 0.05,
    "source_tolerance": lambda: 0.05,
    "first_azimuth": lambda: "0 deg",
    "folder": lambda: Path("cables"),
    "frequencies": lambda: Q([1.83, 3.65], "MHz"),
    "frequency": lambda: "1.83 MHz",
    "ground": lambda: wb.PERFECT_GROUND,
    "height": lambda: "100 m",
    "high": lambda: "75 ohm",
    "impedance": lambda: "75 ohm",
    "inductance": lambda: "0.3 uH/m",
    "inductance_factor": lambda: "400 nH",
    "inner_radius": lambda: None,
    "latitude": lambda: "52 deg",
    "layers": lambda: None,
    "layout": _layout,
    "least_white_noise_gain": lambda: "-8 dB",
    "length": lambda: "20 m",
    "limit": lambda: 0,
    "line": lambda: wb.cable("series-6-copper"),
    "line_length": lambda: "12 m",
    "lines": lambda: 2,
    "load": lambda: "50 ohm",
    "longitude": lambda: "0 deg",
    "loop": lambda: False,
    "low": lambda: "50 ohm",
    "match": _match,
    "matches": lambda: [_match()],
    "measured_check_frequency": lambda: "3.4 MHz",
    "metres": lambda: np.array([[0.0, 0.0], [0.0, 20.0]]),
    "most_loss": lambda: "1 dB",
    "most_parallel": lambda: 2,
    "most_swr": lambda: 1.2,
    "most_turns": lambda: 12,
    "name": lambda: "160 m",
    "calibrated": lambda: wb.calibrate_by_resistance(wb.cable("series-6-clad"), "1.6 ohm", "20 m"),
    "null_elevation": lambda: "20 deg",
    "path": lambda: Path("nothing-here"),
    "pieces": lambda: 1,
    "polarity_inversion": lambda: False,
    "port": lambda: "50 ohm",
    "port_impedance": lambda: "50 ohm",
    "positions": lambda: Q([[0.0, 0.0], [0.0, 20.0]], "m"),
    "progress": lambda: None,
    "before": lambda: (),
    "quantity": lambda: "attenuation",
    "radius": lambda: "0.5 mm",
    "region": lambda: 2,
    "relative_permeability": lambda: 1.0,
    "relative_permittivity": lambda: 13.0,
    "resistance": lambda: "1.6 ohm",
    "run": lambda: wb.cable("series-6-copper"),
    "run_connector_delay": lambda: "0.1 ns",
    "run_length": lambda: "20 m",
    "section": lambda: "75 ohm",
    "side": lambda: "24 m",
    "source": lambda: "75 ohm",
    "spacing": lambda: "20 m",
    "summing": lambda: None,
    "sweep": _sweep,
    "text": lambda: "20 m",
    "thickness": lambda: "0.1 mm",
    "turns": lambda: None,
    "values_per_decade": lambda: 96,
    "velocity_factor": lambda: 0.83,
    "wanted_delay": lambda: "70 ns",
    "weights": lambda: [1, -1j, -1j, -1],
    "width": lambda: "12 m",
    "winding_q": lambda: 50.0,
    "band_frequency": lambda: "1.83 MHz",
}
# by "callable.argument", where the name means another thing
OWN: dict[str, Callable[[], Any]] = {
    "compensated_lengths.lines": lambda: None,
    "delayed_channels.line": lambda: wb.cable("series-6-copper"),
    "perturbed_weights.phase_error": lambda: Q([1.0, 0.0, 2.0, 0.0], "deg"),
    "perturbed_weights.level": lambda: Q([0.1, 0.0, 0.0, 0.0], "dB"),
    "allowable.delays": lambda: None,
    "allowable.least": lambda: "2 dB",
    "allowable_alone.least": lambda: "2 dB",
    "allowable_alone.delays": lambda: None,
    "fault_report.delays": lambda: None,
    "run_tolerance.delays": lambda: None,
    "Cable.with_cladding.thickness": lambda: "15 um",
    "FewestDelays.weights.frequency": lambda: "1.83 MHz",
    "Cable.with_velocity_factor.value": lambda: 0.82,
    "Design.changed.changes": lambda: {("phasing", "elevation"): "25 deg"},
    "FewestDelays.least_rdf_at.delays": lambda: Q([40.0], "ns"),
    "Plan.line.label": lambda: "A",
    "Plan.band.name": lambda: "160 m",
    "Plan.direction.name": lambda: "north-east",
    "cable.name": lambda: "series-6-copper",
    "constant_cable.resistance": lambda: "0.1 ohm/m",
    "length_ripple.line": lambda: "93 ohm",
    "loss_with_length.line": lambda: "93 ohm",
    "load_design.path": lambda: DESIGN,
    "calibrate_by_check_frequency.frequency": lambda: "2.04 MHz",
    "nearest_value.resistance": lambda: "43.3 ohm",
    "read_positions.path": lambda: Path("stakes.csv"),
    "read_sweep.path": lambda: Path("sweep.s1p"),
    "save_calibrated_cable.name": lambda: "my-reel",
    "save_touchstone.path": lambda: Path("match.s2p"),
    "series_section_match.line": lambda: "50 ohm",
    "series_section_match.load": lambda: "38 ohm",
    "shield_impedance.conductivity": lambda: "35 MS/m",
}
INSTANCES: dict[str, Callable[[], Any]] = {
    "Cable": lambda: wb.cable("series-6-clad"),
    "Channel": lambda: _channel(wb.cable("series-6-copper"), "12 m"),
    "Core": lambda: wb.Core(),
    "Design": lambda: wb.load_design(DESIGN),
    "FewestDelays": lambda: wb.fewest_delays(_layout(), "1.83 MHz", "45 deg", "20 deg", wb.PERFECT_GROUND, 1),
    "Firing": _firing,
    "Ground": lambda: wb.Ground(13, "5 mS/m"),
    "Layout": _layout,
    "Match": _match,
    "Compensated": lambda: wb.compensated_lengths(VALID["channels"](), VALID["delays"](), "1.83 MHz"),
    "Plan": lambda: wb.load_design(DESIGN).plan(),
    "FaultReport": lambda: wb.fault_report(_firing(), [wb.faults.DeadElement(2)]),
    "Tolerance": _tolerance,
    "ToleranceResult": lambda: wb.run_tolerance(_firing(), [_tolerance()], 100, 1),
    "StakeOut": lambda: wb.stake_out(_layout()),
}

# ground rods, straps and shields
OWN |= (
    {
        "choke_wanted.rejection": lambda: "30 dB",
        "common_mode_rejection.choke": lambda: Q(3000 + 1500j, "ohm"),
        "inductive_reactance.inductance": lambda: "1 uH",
        "metal_pair.one": lambda: "copper",
        "metal_pair.other": lambda: "zinc",
        "potential_between_earths.current": lambda: "1 kA",
        "potential_between_earths.distance": lambda: "20 m",
        "potential_between_earths.resistance": lambda: "30 ohm",
        "rods_resistance.shape": lambda: "square",
        "shield_choke.cores": lambda: 2,
        "shield_choke.rejection": lambda: "30 dB",
        "shield_choke.turn_impedance": lambda: Q(25 + 20j, "ohm"),
        "strap_inductance.width": lambda: "25 mm",
        "surge_voltage.inductance": lambda: "1 uH",
        "surge_voltage.peak_current": lambda: "5 kA",
        "surge_voltage.rise_time": lambda: "8 us",
        "wire_inductance.diameter": lambda: "2 mm",
    }
    | {
        f"{name}.{key}": lambda value=value: value
        for name in ("rod_resistance", "two_rods_resistance", "rods_resistance", "potential_between_earths")
        for key, value in (("resistivity", "100 ohm*m"), ("length", "3 m"), ("diameter", "16 mm"), ("spacing", "6 m"))
    }
    | {f"{name}.shared": lambda: "50 ohm" for name in ("choke_wanted", "common_mode_rejection", "shield_choke")}
)

# from the vertical to the receiver: results, valid arguments and valid objects


def _front_end() -> Any:
    return wb.FrontEnd(wb.short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")


def _receiver() -> Any:
    return wb.Stage("receiver", "0 dB", "10 dB")


def _element() -> Any:
    return wb.Stage("element", "-20 dB", "25 dB")


def _receive_band() -> Any:
    return wb.ReceiveBand("160 m", _firing(), "46 dB", _element(), (), (_receiver(),))


def _margin() -> Any:
    return wb.noise_margin(_firing(), "46 dB", _element(), [_receiver()])


OWN |= {
    "CableRuns.element_run": lambda: "25 m",
    "CableRuns.elements": lambda: 4,
    "CableRuns.receiver_run": lambda: "300 m",
    "DcSupply.supply": lambda: "13.8 V",
    "DcSupply.least_voltage": lambda: "10 V",
    "DcSupply.current": lambda: "50 mA",
    "DcSupply.pair_resistance": lambda: "0.1 ohm/m",
    "FeedRun.name": lambda: "run",
    "FeedRun.loop_resistance": lambda: "0.1 ohm/m",
    "FeedRun.front_ends": lambda: 4,
    "FrontEnd.vertical": lambda: wb.short_vertical("7 m", "25 mm"),
    "FrontEnd.input_resistance": lambda: "1 Mohm",
    "FrontEnd.input_capacitance": lambda: "15 pF",
    "FrontEnd.choke_inductance": lambda: "200 uH",
    "FrontEnd.choke_q": lambda: 60,
    "FrontEnd.choke_capacitance": lambda: "2 pF",
    "FrontEnd.voltage.field": lambda: "1 mV/m",
    "FrontEnd.stage.gain": lambda: "0 dB",
    "FrontEnd.stage.output_resistance": lambda: "75 ohm",
    "FrontEnd.stage.noise_voltage": lambda: "5 nV",
    "FrontEnd.stage.noise_current": lambda: "0 A",
    "ReceiveBand.name": lambda: "160 m",
    "ReceiveBand.external": lambda: "46 dB",
    "ReceiveBand.element": _element,
    "ReceiveBand.before": lambda: (),
    "ReceiveBand.after": lambda: (_receiver(),),
    "ReceiveBand.source": lambda: "ITU-R P.372",
    "ShortVertical.height": lambda: "7 m",
    "ShortVertical.diameter": lambda: "25 mm",
    "Stage.name": lambda: "receiver",
    "Stage.gain": lambda: "0 dB",
    "Stage.noise_figure": lambda: "10 dB",
    "Stage.temperature": lambda: "290 K",
    "Transmitter.power": lambda: "400 W",
    "Transmitter.distance": lambda: "100 m",
    "cable_comparison.names": lambda: ["series-6-clad", "series-11-copper"],
    "cable_comparison.runs": lambda: wb.CableRuns("25 m", 4, "300 m"),
    "cable_comparison.bands": lambda: [_receive_band()],
    "cable_comparison.wanted_margin": lambda: "10 dB",
    "cable_comparison.prices": lambda: {"series-6-clad": 0.3},
    "cable_comparison.supply": lambda: wb.DcSupply("13.8 V", "10 V", "50 mA"),
    "cascade.stages": lambda: [_receiver()],
    "choke_mismatch.front_end": _front_end,
    "choke_mismatch.inductance_tolerance": lambda: 0.1,
    "choke_tolerance.front_end": _front_end,
    "choke_tolerance.rdf_loss": lambda: "0.3 dB",
    "choke_tolerance.least_front_to_back": lambda: "10 dB",
    "combined_noise.levels": lambda: ["40 dB", "42 dB"],
    "cut_plan.pieces": lambda: [("A", "20 m", None), ("B", "30 m", "g")],
    "cut_plan.reels": lambda: [("R", "100 m")],
    "cut_plan.kerf": lambda: "5 mm",
    "cut_plan.together": lambda: ("g",),
    "cut_plan.time_limit": lambda: "2 s",
    "cut_plan.units": lambda: "feet",
    "dc_drop.current": lambda: "50 mA",
    "dc_drop.loop_resistance": lambda: "0.1 ohm/m",
    "dc_feed.supply": lambda: "13.8 V",
    "dc_feed.least_voltage": lambda: "10 V",
    "dc_feed.current": lambda: "50 mA",
    "dc_feed.runs": lambda: [wb.FeedRun("run", "100 m", "0.1 ohm/m", 4)],
    "external_noise.environment": lambda: "rural",
    "galactic_noise.critical_frequency": lambda: "1 MHz",
    "least_margin.margins": lambda: {"160 m": _margin()},
    "line_stage.temperature": lambda: "290 K",
    "noise_field.external": lambda: "46 dB",
    "noise_field.bandwidth": lambda: "500 Hz",
    "noise_margin.external": lambda: "46 dB",
    "noise_margin.element": _element,
    "noise_margin.stages": lambda: [_receiver()],
    "passive_stage.name": lambda: "pad",
    "passive_stage.loss": lambda: "6 dB",
    "passive_stage.temperature": lambda: "290 K",
    "phase_spread.front_end": _front_end,
    "pieces_to_cut.plan": lambda: wb.load_design(DESIGN).plan(),
    "pieces_to_cut.cable": lambda: "series-6-clad",
    "phase_spread.inductance_tolerance": lambda: 0.2,
    "short_vertical.height": lambda: "7 m",
    "short_vertical.diameter": lambda: "25 mm",
    "signal_levels.field": lambda: "1 mV/m",
    "signal_levels.element": _element,
    "signal_levels.stages": lambda: [_receiver()],
    "suitable_cables.names": lambda: None,
    "suitable_cables.greatest_diameter": lambda: "12 mm",
    "suitable_cables.buried": lambda: False,
    "transmitter_field.power": lambda: "400 W",
    "transmitter_field.distance": lambda: "100 m",
    "transmitter_levels.front_end": _front_end,
    "transmitter_levels.transmitters": lambda: [wb.Transmitter("80 m", "400 W", "100 m", "3.65 MHz")],
    "transmitter_levels.limit": lambda: "5 V",
    "wire_resistance.gauge": lambda: 24,
}
INSTANCES |= {
    "FrontEnd": _front_end,
    "ShortVertical": lambda: wb.short_vertical("7 m", "25 mm"),
}

# the bench: values of measuring, trimming and sorting
VALID |= {"order": lambda: 1, "uncertainty": lambda: "5 mm", "set_size": lambda: 2, "sets": lambda: None}
VALID |= {"scales": lambda: None, "pairs": lambda: 1}
VALID |= {"values": lambda: {"a": "99 uH", "b": "98 uH", "c": "104 uH", "d": "103 uH"}}
OWN |= {
    "Measured.value": lambda: "27 m",
    "distance_response.sweep": lambda: _wide_sweep(),
    "distance_response.impedance": lambda: "75 ohm",
    "weighted_mean.values": lambda: [wb.Measured(0.83, 0.01), wb.Measured(0.84, 0.01)],
    "impedance_sweep.impedance": lambda: "50 ohm",
    "measure_line.open": _sweep,
    "measure_line.short": lambda: None,
    "measure_line.through": lambda: None,
    "measure_line.length": lambda: "12 m",
    "measure_line.cable": lambda: wb.cable("series-6-copper"),
    "measure_resonance.cable": lambda: wb.cable("series-6-copper"),
    "measure_resonance.frequency": lambda: "3.4 MHz",
    "measure_resonance.length": lambda: None,
    "measure_resonance.resistance": lambda: "2 ohm",
}


def _wide_sweep() -> Any:
    hertz = Q(np.arange(0.2e6, 40e6, 0.2e6), "Hz")
    return wb.impedance_sweep(hertz, wb.input_impedance(wb.cable("series-6-copper"), "12 m", hertz, Q(np.inf, "ohm")))


def _measured_line() -> Any:
    hertz = Q(np.linspace(1e6, 10e6, 91), "Hz")
    cable = wb.cable("series-6-copper")
    ends = {"open": np.inf, "short": 0.0}
    seen = {name: wb.input_impedance(cable, "12 m", hertz, Q(ohms, "ohm")) for name, ohms in ends.items()}
    return wb.measure_line(**{name: wb.impedance_sweep(hertz, one) for name, one in seen.items()}, length="12 m")


INSTANCES |= {"MeasuredLine": _measured_line}


# --- wrong arguments --------------------------------------------------------------------------------------

_FOREIGN: Any = pint.UnitRegistry()
WRONG: tuple[Callable[[], Any], ...] = (
    lambda: None,
    lambda: True,
    lambda: False,
    lambda: 0,
    lambda: 1,
    lambda: -1,
    lambda: 3,
    lambda: 10**6,
    lambda: 10**30,
    lambda: 10**400,
    lambda: np.int64(2),
    lambda: np.bool_(True),
    lambda: 0.0,
    lambda: -0.0,
    lambda: 0.66,
    lambda: -2.5,
    lambda: 1e308,
    lambda: 5e-324,
    lambda: float("nan"),
    lambda: float("inf"),
    lambda: float("-inf"),
    lambda: np.float32(0.5),
    lambda: 1 + 2j,
    lambda: complex("nan"),
    lambda: fractions.Fraction(1, 2),
    lambda: decimal.Decimal("1.5"),
    lambda: "",
    lambda: " ",
    lambda: "north",
    lambda: "nan",
    lambda: "nan m",
    lambda: "inf MHz",
    lambda: "1e999 ohm",
    lambda: "20 m",
    lambda: "-20 m",
    lambda: "1.83 MHz",
    lambda: "0 ohm",
    lambda: "45 deg",
    lambda: "1e300 deg",
    lambda: "3 dB",
    lambda: "160 m",
    lambda: "\0",
    lambda: "a\0b.toml",
    lambda: "\ud800",
    lambda: "½ wave – π/2 🙂",
    lambda: "9" * 5000,
    lambda: "x" * 10_000 + " m",
    lambda: b"20 m",
    lambda: bytearray(b"1"),
    list,
    lambda: [1, 2],
    lambda: [[1, 2], [3]],
    lambda: ["160 m", None],
    lambda: [None],
    lambda: (),
    lambda: (1.0, 2.0),
    lambda: ("20 m", "30 m"),
    dict,
    lambda: {"a": 1},
    lambda: {1, 2},
    lambda: iter([1]),
    lambda: range(3),
    lambda: object(),
    lambda: int,
    lambda: len,
    lambda: datetime.date(2026, 1, 1),
    lambda: datetime.date(1066, 10, 14),
    lambda: datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC),
    lambda: np.array([]),
    lambda: np.array(1.5),
    lambda: np.array([1.0, 2.0, 3.0]),
    lambda: np.array([np.nan, 1.0]),
    lambda: np.array(["20 m"]),
    lambda: np.array([None, 1.0], dtype=object),
    lambda: np.ma.masked_array([1.0, 2.0], [False, True]),
    lambda: np.datetime64("2026-01-01"),
    lambda: Q(20.0, "m"),
    lambda: Q(-20.0, "m"),
    lambda: Q(0.0, "m"),
    lambda: Q(1e308, "m"),
    lambda: Q(5e-324, "m"),
    lambda: Q(np.nan, "m"),
    lambda: Q(np.inf, "m"),
    lambda: Q(1 + 1j, "m"),
    lambda: Q([20.0, 30.0], "m"),
    lambda: Q([[1.0, 2.0, 3.0]], "m"),
    lambda: Q(np.zeros((0, 2)), "m"),
    lambda: Q(np.ma.masked_array([1.0, 2.0], [False, True]), "m"),
    lambda: Q(np.array([None, 1.0], dtype=object), "m"),
    lambda: Q(1.83, "MHz"),
    lambda: Q(0.0, "Hz"),
    lambda: Q(-1.0, "Hz"),
    lambda: Q(1e300, "Hz"),
    lambda: Q(1e-300, "Hz"),
    lambda: Q([1.83, 3.65, 7.1], "MHz"),
    lambda: Q(np.array([]), "Hz"),
    lambda: Q(50.0, "ohm"),
    lambda: Q(0.0, "ohm"),
    lambda: Q(np.inf, "ohm"),
    lambda: Q(-50 + 20j, "ohm"),
    lambda: Q(complex(np.inf, np.nan), "ohm"),
    lambda: Q(1e300, "ohm"),
    lambda: Q([50.0, 75.0], "ohm"),
    lambda: Q(90.0, "deg"),
    lambda: Q(1e18, "deg"),
    lambda: Q([0.0, 90.0], "deg"),
    lambda: Q(3.0, "dB"),
    lambda: Q(-400.0, "dB"),
    lambda: Q(40.0, "ns"),
    lambda: Q(1e300, "s"),
    lambda: Q(1.0, ""),
    lambda: Q(1.0, "S/m"),
    lambda: Q(1e300, "S/m"),
    lambda: Q(1.0, "ohm/m"),
    lambda: _FOREIGN.Quantity(20.0, "m"),
    lambda: Path("nowhere.toml"),
    lambda: Path(),
    lambda: Path("a\0b"),
    lambda: Path("/dev/zero"),
    lambda: ROOT / "README.md",
    lambda: wb.cable("series-6-clad"),
    lambda: "series-6-clad",
    lambda: wb.ideal_cable("75 ohm", 0.66),
    _layout,
    lambda: wb.FREE_SPACE,
    lambda: wb.Ground(1, "0 S/m"),
    _firing,
    _match,
    _sweep,
)


# --- one case ---------------------------------------------------------------------------------------------


def _callables() -> Iterator[tuple[str, list[str]]]:
    """Yield the name and the arguments of every public function, class and method that takes some."""
    for name in sorted(set(wb.__all__) - NOT_CALLED):
        found = getattr(wb, name)
        if inspect.isfunction(found) or name in MADE_BY_USERS:
            yield name, list(inspect.signature(found).parameters)
        if inspect.isclass(found):
            for method, function in inspect.getmembers(found, inspect.isfunction):
                arguments = list(inspect.signature(function).parameters)[1:]
                if not method.startswith("_") and not PLAIN & set(arguments):
                    yield f"{name}.{method}", arguments


CALLABLES = {name: arguments for name, arguments in _callables() if arguments}


def _called(name: str) -> Callable[..., Any]:
    """Return the function, or the method of a valid object."""
    owner, _, method = name.partition(".")
    return getattr(INSTANCES[owner](), method) if method else getattr(wb, owner)


def _valid(name: str, parameter: str) -> Any:
    return OWN.get(f"{name}.{parameter}", VALID.get(parameter, lambda: _UNKNOWN))()


_UNKNOWN = object()


def _arguments(name: str) -> dict[str, Any]:
    found = {parameter: _valid(name, parameter) for parameter in CALLABLES[name]}
    missing = [parameter for parameter, value in found.items() if value is _UNKNOWN]
    assert not missing, f"{name}: no valid value of {missing} is given in this file"
    return found


def _spoil(chance: random.Random, arguments: dict[str, Any]) -> None:
    """Replace one argument, sometimes two or three."""
    count = min(chance.choice((1, 1, 1, 2, 3)), len(arguments))
    for parameter in chance.sample(sorted(arguments), count):
        arguments[parameter] = chance.choice(WRONG)()


def _alarm(_signal: int, _frame: Any) -> None:
    raise TimeoutError(f"longer than {SECONDS:g} s")


def _has_nan(value: Any, depth: int = 4) -> bool:
    """Whether a result holds a not-a-number anywhere in its fields."""
    if hasattr(value, "magnitude"):
        value = value.magnitude
    if isinstance(value, (float, complex, np.ndarray, np.generic)):
        array = np.asarray(value)
        # an infinite complex impedance has a part that is not a number
        return bool(array.dtype.kind in "fc" and np.any(np.isnan(array) & ~np.isinf(array)))
    if depth and isinstance(value, (list, tuple)):
        return any(_has_nan(part, depth - 1) for part in value)
    if depth and isinstance(value, Mapping):
        return any(_has_nan(part, depth - 1) for part in value.values())
    if depth and dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = (getattr(value, field.name) for field in dataclasses.fields(value) if not field.name.startswith("_"))
        return any(_has_nan(part, depth - 1) for part in fields)
    return False


def _fault(called: Callable[..., Any], arguments: dict[str, Any]) -> str | None:
    """Return what is wrong with the call's outcome; None where it is refused well or answers well."""
    begun = time.perf_counter()
    signal.setitimer(signal.ITIMER_REAL, 2 * SECONDS)
    try:
        answer = called(**arguments)
    except wb.InputError as error:
        sentence = str(error)
        if not sentence or len(sentence) > 600 or "Traceback" in sentence:
            return f"an unreadable refusal: {sentence[:200]!r}"
    except Exception as error:
        return f"{type(error).__name__}: {str(error)[:200]}"
    else:
        if _has_nan(answer):
            return "a not-a-number in the answer"
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
    seconds = time.perf_counter() - begun
    return f"{seconds:.1f} s" if seconds > SECONDS else None


def _shown(arguments: dict[str, Any], valid: dict[str, Any]) -> str:
    changed = {name: value for name, value in arguments.items() if value is not valid[name]}
    return ", ".join(f"{name}={value!r:.80}" for name, value in changed.items())


@pytest.fixture
def cases(request: pytest.FixtureRequest) -> int:
    """How many cases fall to each callable."""
    return max(1, round(request.config.getoption("--campaign") / len(CALLABLES)))


# known faults, by callable; this list only ever gets shorter
KNOWN: set[str] = set()


@pytest.fixture
def folder(own_cables: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An own working folder with a sweep and positions to read, an alarm that ends a call, and a limit to memory."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sweep.s1p").write_text("# MHz S RI R 50\n1 0.5 0.1\n2 0.4 0.2\n", encoding="utf-8")
    (tmp_path / "stakes.csv").write_text("element,east,north\n1,0 m,0 m\n2,0 m,20 m\n", encoding="utf-8")
    before, limits = signal.signal(signal.SIGALRM, _alarm), resource.getrlimit(resource.RLIMIT_AS)
    taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (taken + MEMORY, limits[1]))
    yield tmp_path
    resource.setrlimit(resource.RLIMIT_AS, limits)
    signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize("name", CALLABLES)
def test_wrong_arguments_are_refused_or_answered(name, cases, folder):
    chance, called = random.Random(f"{name} {cases}"), _called(name)
    valid = _arguments(name)
    faults = {}
    for _ in range(cases):
        arguments = dict(valid)
        _spoil(chance, arguments)
        fault = _fault(called, arguments)
        if fault:
            faults.setdefault(fault, _shown(arguments, valid))
    if name in KNOWN and faults:
        pytest.xfail("known")
    assert not faults, "\n".join(f"{name}({shown}): {fault}" for fault, shown in faults.items())


@pytest.mark.parametrize("name", CALLABLES)
def test_valid_arguments_of_the_sweep_are_accepted(name, folder):
    """Otherwise every call is refused for an argument that was not replaced, and the sweep proves nothing."""
    _called(name)(**_arguments(name))
