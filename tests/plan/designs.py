"""Small designs at an invented site, and changing them key by key."""

import copy
import datetime
from collections.abc import Mapping
from typing import Any

ABSENT = object()

# four elements 20 m apart on a square, one band, no connectors: everything can be reckoned by hand
SQUARE: dict[str, Any] = {
    "format": 1,
    "name": "Otter Mead",
    "bands": {"160 m": "1.83 MHz"},
    "array": {"kind": "square", "side": "20 m", "first_azimuth": "45 deg"},
    "phasing": {"rule": "aligned", "elevation": "0 deg", "cut_band": "160 m"},
    "directions": [{"name": "north", "azimuth": "0 deg"}],
    "hub": {"kind": "joined", "position": ["0 m", "0 m"]},
    "cables": {"element_run": "series-6-copper", "delay_line": "series-6-copper"},
    "lengths": {"slack": "1 m"},
    "cutting": {"trim": "10 cm"},
}

# three elements with entered delays
ENTERED: dict[str, Any] = {
    **SQUARE,
    "array": {"kind": "custom", "positions": [["0 m", "0 m"], ["0 m", "20 m"], ["20 m", "0 m"]]},
    "phasing": {"rule": "entered", "cut_band": "160 m"},
    "directions": [{"name": "north", "azimuth": "0 deg", "delays": ["0 ns", "38 ns", "20 ns"]}],
}

# nearly everything that a design can hold
FULL: dict[str, Any] = {
    **SQUARE,
    "bands": {"160 m": "1.83 MHz", "80 m": "3.65 MHz", "40 m": "7.1 MHz"},
    "array": {"kind": "ring", "count": 8, "diameter": "42 m", "first_azimuth": "0 deg"},
    "ground": {"relative_permittivity": 20, "conductivity": "8 mS/m"},
    "site": {"latitude": "52.4 deg", "longitude": "1.1 deg", "date": datetime.date(2026, 5, 1), "height": "12 m"},
    "phasing": {"rule": "aligned", "elevation": "20 deg", "cut_band": "80 m"},
    "directions": [{"name": "north-east", "azimuth": "45 deg"}, {"name": "half-way", "azimuth": "22.5 deg"}],
    "hub": {"kind": "ports", "position": ["3 m", "-2 m"]},
    "cables": {"element_run": "series-6-copper", "delay_line": "series-6-clad", "receiver_run": "series-11-clad"},
    "lengths": {"receiver_run": "120 m", "slack": "1 m"},
    "ends": {
        "delay_line": {"delay": "0.11 ns", "strip": "14 mm"},
        "element_run": {"delay": "0.2 ns", "strip": "20 mm"},
    },
    "cutting": {"trim": "10 cm", "accept": "2 deg"},
    "velocity_factor": {
        "series-6-clad": {"value": 0.835, "frequency": "1.83 MHz"},
        "series-6-copper": {"value": 0.829, "frequency": "1.83 MHz"},
    },
}

# and what takes longer to work out: what the ends of the lines do, and the way to the receiver
ENDS: dict[str, Any] = {
    **FULL,
    "hub": {
        "kind": "ports",
        "position": ["3 m", "-2 m"],
        "source_impedance": "75 ohm",
        "port_impedance": "80 ohm",
        "source_tolerance": 0.05,
        "port_tolerance": 0.1,
    },
    "match": {
        "way": "best",
        "source": "75 ohm",
        "load": "50 ohm",
        "cables": ["series-6-copper", "rg-213-solid-pe"],
        "most_swr": 1.3,
        "most_loss": "1.5 dB",
    },
}

# from the verticals to the receiver, with feed, prices and reels
RECEIVE: dict[str, Any] = {
    **SQUARE,
    "phasing": {"rule": "aligned", "elevation": "20 deg", "cut_band": "160 m"},
    "bands": {"160 m": "1.83 MHz", "80 m": "3.65 MHz"},
    "cables": {"element_run": "series-6-copper", "delay_line": "series-6-copper", "receiver_run": "series-11-clad"},
    "lengths": {"receiver_run": "150 m", "slack": "1 m"},
    "cutting": {"trim": "10 cm", "kerf": "6 mm", "one_reel": "runs and lines", "time_limit": "10 s"},
    "environment": {
        "noise": "rural",
        "critical_frequency": "8 MHz",
        "entered": {"160 m": "65 dB"},
        "source": "measured at night",
        "margin": "12 dB",
        "strong_signal": "10 mV/m",
    },
    "front_end": {
        "height": "7 m",
        "diameter": "25 mm",
        "choke_inductance": "200 uH",
        "choke_q": 60,
        "choke_capacitance": "2 pF",
        "choke_tolerance": 0.1,
        "input_resistance": "1 Mohm",
        "input_capacitance": "15 pF",
        "voltage_gain": "0 dB",
        "output_resistance": "75 ohm",
        "noise_voltage": "5 nV",
        "noise_current": "10 fA",
        "greatest_voltage": "5 V",
    },
    "receiver": {
        "noise_figure": "12 dB",
        "hub_loss": "0.5 dB",
        "amplifier_gain": "12 dB",
        "amplifier_noise_figure": "5 dB",
    },
    "transmitters": [{"name": "40 m", "power": "400 W", "distance": "100 m", "frequency": "7.1 MHz"}],
    "feed": {"supply": "13.8 V", "least_voltage": "10 V", "current": "30 mA", "pair_gauge": 20},
    "prices": {"series-11-clad": {"price": 140, "per": "305 m"}},
    "stock": [
        {"label": "R1", "cable": "series-6-copper", "length": "305 m", "velocity_factor": 0.83},
        {"label": "R2", "cable": "series-6-copper", "length": "152 m"},
    ],
}

# the rules that look for something, on as few elements as they need, at an elevation where something arrives
ENDFIRE: dict[str, Any] = {
    **SQUARE,
    "bands": {"160 m": "1.83 MHz", "80 m": "3.65 MHz"},
    "phasing": {
        "rule": "endfire",
        "elevation": "20 deg",
        "cut_band": "160 m",
        "null_elevation": "30 deg",
        "polarity_inversion": False,
    },
}
GREATEST: dict[str, Any] = {
    **ENDFIRE,
    "phasing": {
        "rule": "greatest-rdf",
        "elevation": "20 deg",
        "cut_band": "160 m",
        "least_white_noise_gain": "-8 dB",
        "polarity_inversion": True,
    },
}
FEWEST: dict[str, Any] = {
    **ENDFIRE,
    "phasing": {
        "rule": "fewest-delays",
        "elevation": "20 deg",
        "cut_band": "160 m",
        "lines": 1,
        "least_white_noise_gain": "-12 dB",
        "polarity_inversion": True,
    },
}

BASES = {
    "square": SQUARE,
    "entered": ENTERED,
    "full": FULL,
    "ends": ENDS,
    "receive": RECEIVE,
    "endfire": ENDFIRE,
    "greatest": GREATEST,
    "fewest": FEWEST,
}
Keys = tuple[str | int, ...]


def changed(base: Mapping[str, Any], changes: Mapping[Keys, Any]) -> dict[str, Any]:
    """Return a copy of a design with some keys set or taken out."""
    data = copy.deepcopy(dict(base))
    for (*tables, key), value in changes.items():
        table: Any = data
        for name in tables:
            table = table.setdefault(name, {}) if isinstance(table, dict) else table[name]
        if value is ABSENT:
            del table[key]
        else:
            table[key] = value
    return data
