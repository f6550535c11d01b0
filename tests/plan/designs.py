"""Small designs at an invented site, and changing them key by key."""

import copy
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

# everything that a design can hold
FULL: dict[str, Any] = {
    **SQUARE,
    "bands": {"160 m": "1.83 MHz", "80 m": "3.65 MHz", "40 m": "7.1 MHz"},
    "array": {"kind": "ring", "count": 8, "diameter": "42 m", "first_azimuth": "0 deg"},
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

BASES = {"square": SQUARE, "entered": ENTERED, "full": FULL}
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
