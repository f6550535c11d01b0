"""A second calculation of a plan, sharing no code with the workbook.

It reads the design file and the cable files as plain data, works everything out by its own formulas, and compares
every number of a plan's JSON with its own:

    python independent_plan.py PLAN.json DESIGN.toml CABLE_FOLDER

prints each difference and ends with status 1 if there is one. Fields inside the metals are carried layer by layer
with unscaled Bessel functions, check frequencies are found by scanning for a reactance of nought, and the range of
claddings is scanned densely.
"""

import hashlib
import json
import re
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import brentq
from scipy.special import iv, kv

C = 299_792_458.0
MU0 = 4e-7 * np.pi
CONDUCTIVITY = {"copper": 58.0e6, "aluminium": 35.0e6}
FOOT = 0.3048
UNITS = {
    "m": 1.0,
    "cm": 1e-2,
    "mm": 1e-3,
    "um": 1e-6,
    "ft": FOOT,
    "in": FOOT / 12,
    "MHz": 1e6,
    "kHz": 1e3,
    "deg": np.pi / 180,
    "ns": 1e-9,
    "ohm/1000 ft": 1 / (1000 * FOOT),
    "MS/m": 1e6,
}

EXACT = 1e-6
# the range of claddings is scanned on a grid here and refined on another there; both find the summit to about 1e-6
SCANNED = 1e-5


def si(text: str) -> float:
    """Return a quantity in SI units, angles in radians."""
    found = re.fullmatch(r"([-+]?[\d.]+(?:e[-+]?\d+)?) ?(\D.*)", text.strip())
    if not found:
        raise ValueError(f"cannot read {text!r}")
    return float(found[1]) * UNITS[found[2]]


def near(value: float, scale: float | None = None, within: float = EXACT) -> tuple[float, float]:
    """Return an expected number and how far off it may be: a part of itself, or of the scale it is a difference on."""
    return float(value), within * abs(float(value if scale is None else scale))


# --- the cable: from construction to propagation ----------------------------------------------------------


def layer_matrix(omega: Any, sigma: Any, mu: Any, near_radius: Any, far_radius: Any) -> tuple[Any, Any, Any, Any]:
    """Return the matrix that carries (E, H) through metal from one radius to another.

    E = A I0 + B K0 and H = (k/jwmu)(A I1 - B K1); A and B follow at the near radius from the Wronskian 1/(k r).
    """
    k = np.sqrt(1j * omega * mu * MU0 * sigma)
    h, x, y = k / (1j * omega * mu * MU0), k * near_radius, k * far_radius
    return (
        x * (iv(0, y) * kv(1, x) + kv(0, y) * iv(1, x)),
        x * (iv(0, y) * kv(0, x) - kv(0, y) * iv(0, x)) / h,
        x * (iv(1, y) * kv(1, x) - kv(1, y) * iv(1, x)) * h,
        x * (iv(1, y) * kv(0, x) + kv(1, y) * iv(0, x)),
    )


def carried(matrix: tuple[Any, Any, Any, Any], e: Any, h: Any) -> tuple[Any, Any]:
    """Return the fields behind a layer."""
    return matrix[0] * e + matrix[1] * h, matrix[2] * e + matrix[3] * h


def solid_fields(omega: Any, sigma: Any, mu: Any, radius: Any) -> tuple[Any, Any]:
    """Return (E, H) at the face of a solid rod, of any strength."""
    k = np.sqrt(1j * omega * mu * MU0 * sigma)
    return iv(0, k * radius), k / (1j * omega * mu * MU0) * iv(1, k * radius)


class Cable:
    """A cable file's construction, and what follows from it."""

    def __init__(self, path: Path, measured: dict[str, Any] | None) -> None:
        """Read the file; a measured velocity factor scales the phase constant at every frequency."""
        self.record = tomllib.loads(path.read_text(encoding="utf-8"))
        self.name = path.stem
        centre, shield = self.record["centre"], self.record["shield"]
        self.nominal = self.record["nominal_velocity_factor"]["value"]
        effective = centre["effective_diameter"]["value"] if "effective_diameter" in centre else 1.0
        self.a = si(centre["diameter"]["value"]) / 2 * effective
        self.b = si(self.record["dielectric"]["diameter"]["value"]) / 2
        self.tangent = self.record["dielectric"]["loss_tangent"]["value"]
        self.copper = CONDUCTIVITY["copper"]
        if "strands" in centre and "dc_resistance" in centre:
            self.copper = 1 / (si(centre["dc_resistance"]["value"]) * np.pi * self.a**2)
        self.braid = shield["braid_factor"]["value"] if "braid_factor" in shield else 1.0
        self.shield_sigma, self.shield_dc = CONDUCTIVITY[shield["material"]], si(shield["dc_resistance"]["value"])
        self.outer = np.sqrt(self.b**2 + 1 / (np.pi * self.shield_sigma * self.shield_dc))
        self.clad = "cladding" in centre
        self.slowing = 1.0
        if measured:
            hertz = si(measured["frequency"])
            self.slowing = float(self.velocity(hertz)) / measured["value"]

    def cladding(self, key: str) -> float:
        return si(self.record["centre"]["cladding"][key]["value"])

    def steel_mu(self, key: str) -> float:
        return float(self.record["centre"]["steel_permeability"][key]["value"])

    @property
    def steel(self) -> float:
        return si(self.record["centre"]["steel_conductivity"]["value"])

    def centre_impedance(self, omega: Any, cladding: Any, mu: Any) -> Any:
        if self.clad:
            core = self.a - cladding
            fields = solid_fields(omega, self.steel, mu, core)
            fields = carried(layer_matrix(omega, self.copper, 1.0, core, self.a), *fields)
        else:
            fields = solid_fields(omega, self.copper, 1.0, self.a)
        return fields[0] / fields[1] / (2 * np.pi * self.a)

    def shield_impedance(self, omega: Any) -> Any:
        """Tube with its return inside: no field outside; the braid multiplies what exceeds direct current."""
        inward = layer_matrix(omega, self.shield_sigma, 1.0, self.outer, self.b)
        tube = -inward[0] / inward[2] / (2 * np.pi * self.b)
        return self.shield_dc + self.braid * (tube - self.shield_dc)

    def line(self, hertz: Any, cladding: Any = None, mu: Any = None) -> tuple[Any, Any]:
        """Return the propagation constant [1/m] and the impedance [ohm], of the typical centre if not said."""
        omega = 2 * np.pi * np.asarray(hertz, dtype=float)
        if self.clad and cladding is None:
            cladding, mu = self.cladding("typical"), self.steel_mu("typical")
        external = MU0 / (2 * np.pi) * np.log(self.b / self.a)
        series = self.centre_impedance(omega, cladding, mu) + self.shield_impedance(omega) + 1j * omega * external
        shunt = omega * (1j + self.tangent) / (external * (self.nominal * C) ** 2)
        gamma = np.sqrt(series * shunt)
        return gamma.real + 1j * gamma.imag * self.slowing, np.sqrt(series / shunt)

    def velocity(self, hertz: Any, cladding: Any = None, mu: Any = None) -> Any:
        return 2 * np.pi * np.asarray(hertz) / self.line(hertz, cladding, mu)[0].imag / C

    def velocity_range(self, hertz: float) -> tuple[float, float]:
        """Return the least and greatest velocity factor over all claddings and permeabilities of the record."""
        if not self.clad:
            return (float(self.velocity(hertz)),) * 2
        copper = np.geomspace(self.cladding("least"), self.cladding("greatest"), 401)[:, None]
        steel = np.geomspace(self.steel_mu("least"), self.steel_mu("greatest"), 41)
        found = self.velocity(hertz, copper, steel)
        return float(found.min()), float(found.max())

    @property
    def loop_resistance(self) -> float:
        """Return the resistance of centre and shield at direct current [ohm/m]."""
        conductance = self.copper * np.pi * self.a**2
        if self.clad:
            core = np.pi * (self.a - self.cladding("typical")) ** 2
            conductance += (self.steel - self.copper) * core
        return 1 / conductance + self.shield_dc

    def degrees(self, length: float, connectors: float, hertz: float) -> float:
        return float(np.degrees(self.line(hertz)[0].imag * length) + 360 * hertz * connectors)

    def loss(self, length: float, hertz: float) -> float:
        return float(self.line(hertz)[0].real * length * 20 / np.log(10))


# --- check frequency --------------------------------------------------------------------------------------


def open_impedance(cable: Cable, length: float, connectors: float, hertz: Any) -> Any:
    """Return what is seen into a line with its far end open; connectors count as cable of their delay."""
    gamma, impedance = cable.line(hertz)
    whole = length + 2 * np.pi * np.asarray(hertz) * connectors / gamma.imag
    return impedance / np.tanh(gamma * whole)


def crossing(cable: Cable, length: float, connectors: float) -> float:
    """Return the lowest frequency at which the reactance rises through nought."""
    quarter = 0.25 / (length / (cable.nominal * C) + connectors)
    scan = quarter * np.linspace(0.05, 1.3, 300)
    reactance = open_impedance(cable, length, connectors, scan).imag
    first = np.flatnonzero((reactance[:-1] < 0) & (reactance[1:] >= 0))[0]

    def at(hertz: float) -> float:
        return float(open_impedance(cable, length, connectors, hertz).imag)

    return float(brentq(at, scan[first], scan[first + 1], xtol=1e-7, rtol=1e-14))


def check(cable: Cable, length: float, first: float, connectors: float, degree_at: float, accept: float) -> Any:
    """Return the check of a piece; `first` is its length between connectors as first cut."""
    hertz = crossing(cable, length, connectors)
    step = 2e-5 * length
    slope = (crossing(cable, length + step, connectors) - crossing(cable, length - step, connectors)) / (2 * step)
    metres_per_degree = 1 / np.degrees(cable.line(degree_at)[0].imag)
    return {
        "far_end": "open",
        "frequency_hz": near(hertz),
        "first_cut_frequency_hz": near(crossing(cable, first, connectors), within=SCANNED),
        "hz_per_m": near(slope),
        "resistance_ohm": near(open_impedance(cable, length, connectors, hertz).real),
        "accept_hz": near(-slope * metres_per_degree * accept),
        "least_good_hz": near(crossing(cable, length + metres_per_degree * accept, connectors)),
        "greatest_good_hz": near(crossing(cable, length - metres_per_degree * accept, connectors))
        if length > metres_per_degree * accept
        else None,
    }


# --- the design: positions, delays, lines -----------------------------------------------------------------


def positions(array: dict[str, Any]) -> Any:
    """Return (N, 2): east, north [m]."""
    if array["kind"] == "ring":
        count, radius = array["count"], si(array["diameter"]) / 2
    elif array["kind"] == "square":
        count, radius = 4, si(array["side"]) / np.sqrt(2)
    else:
        raise ValueError(f"this script knows no array {array['kind']!r}")
    # clockwise from north, as a complex number north + j east
    turn = np.exp(1j * (si(array.get("first_azimuth", "0 deg")) + 2 * np.pi * np.arange(count) / count))
    return radius * np.column_stack((turn.imag, turn.real))


def waits(stakes: Any, azimuth: float, elevation: float) -> Any:
    """Return how long each element waits for the one the wave meets last [s]."""
    toward = np.array([np.sin(azimuth), np.cos(azimuth)]) * np.cos(elevation)
    ahead = stakes @ toward
    return (ahead - min(ahead)) / C


def gathered(delays: Any, highest: float) -> list[list[float]]:
    """Return the groups of delays that are one line, in ascending order."""
    apart = 0.05 / 360 / highest
    groups: list[list[float]] = []
    for delay in sorted({float(d) for d in np.ravel(delays) if d >= apart}):
        if groups and delay - groups[-1][-1] < apart:
            groups[-1].append(delay)
        else:
            groups.append([delay])
    return groups


def which(groups: list[list[float]], delay: float) -> int | None:
    for number, group in enumerate(groups):
        if group[0] <= delay <= group[-1]:
            return number
    return None


# --- the plan ---------------------------------------------------------------------------------------------


class Design:
    """A design file as plain data, with what all parts of the plan need."""

    def __init__(self, path: Path, folder: Path) -> None:
        """Read the design and every cable it names."""
        raw = path.read_bytes()
        self.sha256 = hashlib.sha256(raw).hexdigest()
        self.data = tomllib.loads(raw.decode())
        measured = self.data.get("velocity_factor", {})
        self.cable = {n: Cable(folder / f"{n}.toml", measured.get(n)) for n in self.data["cables"].values()}
        self.bands = {name: si(text) for name, text in self.data["bands"].items()}
        self.cut = self.bands[self.data["phasing"]["cut_band"]]
        self.trim = si(self.data["cutting"]["trim"])
        self.accept = np.degrees(si(self.data["cutting"].get("accept", "1 deg")))
        self.stakes = positions(self.data["array"])
        self.delays = self.all_delays()
        self.groups = gathered(self.delays, max(self.bands.values()))

    def all_delays(self) -> Any:
        elevation = si(self.data["phasing"]["elevation"])
        return np.array([waits(self.stakes, si(d["azimuth"]), elevation) for d in self.data["directions"]])

    def end(self, kind: str) -> tuple[float, float]:
        """Return delay of both connectors [s], and cable that goes into both [m]."""
        end = self.data.get("ends", {}).get(kind, {})
        return 2 * si(end.get("delay", "0 ns")), 2 * si(end.get("strip", "0 m"))

    def pieces(self, number: int) -> int:
        """Return how many pieces of a line the hub needs at once."""
        if self.data["hub"]["kind"] == "joined":
            return 1
        uses = [[which(self.groups, d) for d in row].count(number) for row in self.delays]
        return max(uses)


def label(number: int | None) -> str | None:
    return None if number is None else "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[number]


def directions(design: Design) -> list[dict[str, Any]]:
    longest = design.delays.max()
    found = []
    for one, row in zip(design.data["directions"], design.delays, strict=True):
        feeds = [
            {
                "number": n,
                "delay_s": near(d, longest),
                "polarity": 1,
                "amplitude": near(1.0),
                "line": label(which(design.groups, d)),
            }
            for n, d in enumerate(row, 1)
        ]
        azimuth = near(np.degrees(si(one["azimuth"])), 360)
        found.append({"name": one["name"], "azimuth_deg": azimuth, "elements": feeds})
    return found


def line_bands(design: Design, cable: Cable, delay: float, length: float, nominal: float) -> list[dict[str, Any]]:
    connectors, _ = design.end("delay_line")
    found = []
    for name, hertz in design.bands.items():
        wanted, degrees = 360 * hertz * delay, cable.degrees(length, connectors, hertz)
        by_nominal = cable.degrees(nominal, connectors, hertz)
        found.append(
            {
                "name": name,
                "electrical_length_deg": near(degrees),
                # errors are small differences of lengths, so they are held to a part of the length
                "phase_error_deg": near(degrees - wanted, wanted),
                "nominal_phase_error_deg": near(by_nominal - wanted, wanted),
                "loss_db": near(cable.loss(length, hertz)),
            }
        )
    return found


def delay_line(design: Design, number: int) -> dict[str, Any]:
    cable = design.cable[design.data["cables"]["delay_line"]]
    delay = float(np.mean(design.groups[number]))
    connectors, strips = design.end("delay_line")
    velocity, (slow, fast) = float(cable.velocity(design.cut)), cable.velocity_range(design.cut)
    inside = (delay - connectors) * C
    length, nominal = inside * velocity, inside * cable.nominal
    first = inside * fast + strips + design.trim
    return {
        "label": label(number),
        "count": design.pieces(number),
        "delay_s": near(delay),
        "cable": cable.name,
        "cut_frequency_hz": near(design.cut),
        "velocity_factor": near(velocity),
        "nominal_velocity_factor": near(cable.nominal),
        "length_m": near(length),
        "least_length_m": near(inside * slow, within=SCANNED),
        "greatest_length_m": near(inside * fast, within=SCANNED),
        "length_to_cut_m": near(length + strips),
        "first_cut_m": near(first, within=SCANNED),
        "nominal_length_error_m": near(nominal - length, length),
        "loop_resistance_ohm": near(cable.loop_resistance * length),
        "check": check(cable, length, first - strips, connectors, design.cut, design.accept),
        "bands": line_bands(design, cable, delay, length, nominal),
    }


def element_runs(design: Design) -> dict[str, Any]:
    cable = design.cable[design.data["cables"]["element_run"]]
    hub = np.array([si(place) for place in design.data["hub"].get("position", ["0 m", "0 m"])])
    slack = si(design.data["lengths"].get("slack", "0 m"))
    length = float(np.hypot(*(design.stakes - hub).T).max()) + slack
    connectors, strips = design.end("element_run")
    return {
        "cable": cable.name,
        "count": len(design.stakes),
        "length_m": near(length),
        "length_to_cut_m": near(length + strips),
        "first_cut_m": near(length + strips + design.trim),
        "loop_resistance_ohm": near(cable.loop_resistance * length),
        "check": check(cable, length, length + design.trim, connectors, design.cut, design.accept),
        "bands": [
            {
                "name": name,
                "electrical_length_deg": near(cable.degrees(length, connectors, hertz)),
                "loss_db": near(cable.loss(length, hertz)),
            }
            for name, hertz in design.bands.items()
        ],
    }


def receiver_run(design: Design) -> dict[str, Any]:
    cable = design.cable[design.data["cables"]["receiver_run"]]
    length = si(design.data["lengths"]["receiver_run"])
    return {
        "cable": cable.name,
        "length_m": near(length),
        "loop_resistance_ohm": near(cable.loop_resistance * length),
        "bands": [{"name": n, "loss_db": near(cable.loss(length, hertz))} for n, hertz in design.bands.items()],
    }


def totals(lines: list[dict[str, Any]], runs: dict[str, Any], receiver: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the sums by cable: lines as first cut, runs as finished."""
    parts = [(x["cable"], x["first_cut_m"][0], x["count"]) for x in lines]
    parts += [
        (runs["cable"], runs["length_to_cut_m"][0], runs["count"]),
        (receiver["cable"], receiver["length_m"][0], 1),
    ]
    return [
        {
            "cable": cable,
            "length_m": near(sum(m * n for c, m, n in parts if c == cable), within=SCANNED),
            "pieces": sum(n for c, _, n in parts if c == cable),
        }
        for cable in sorted({c for c, _, _ in parts})
    ]


def expected(path: Path, folder: Path) -> dict[str, Any]:
    """Return the plan as this script works it out; numbers come with how far off they may be."""
    design = Design(path, folder)
    lines = [delay_line(design, number) for number in range(len(design.groups))]
    runs, receiver, phasing = element_runs(design), receiver_run(design), design.data["phasing"]
    reach = np.abs(design.stakes).max()
    hub = [si(place) for place in design.data["hub"].get("position", ["0 m", "0 m"])]
    return {
        "format": 1,
        "name": design.data["name"],
        "design_sha256": design.sha256,
        "bands": [{"name": name, "frequency_hz": near(hertz)} for name, hertz in design.bands.items()],
        "elements": [
            {"number": n, "east_m": near(east, reach), "north_m": near(north, reach)}
            for n, (east, north) in enumerate(design.stakes, 1)
        ],
        "directions": directions(design),
        "delay_lines": lines,
        "element_runs": runs,
        "receiver_run": receiver,
        "totals": totals(lines, runs, receiver),
        # repeated from the design for the sheets
        "cut_band": phasing["cut_band"],
        "elevation_deg": near(np.degrees(si(phasing["elevation"])), 90),
        "accept_deg": near(design.accept),
        "hub": design.data["hub"]["kind"],
        "hub_east_m": near(hub[0], reach),
        "hub_north_m": near(hub[1], reach),
        "trim_m": near(design.trim),
        "strip_m": near(design.end("delay_line")[1] / 2),
        "connector_delay_s": near(design.end("delay_line")[0] / 2),
    }


# --- comparing --------------------------------------------------------------------------------------------

NO_NUMBERS = {"workbook_version", "warnings"}


def differences(mine: Any, theirs: Any, where: str = "plan") -> list[str]:
    """Return a sentence for every place where a plan differs from what is expected, or has a number too many."""
    if isinstance(mine, tuple):
        value, allowed = mine
        number = isinstance(theirs, int | float) and not isinstance(theirs, bool)
        agrees = number and abs(theirs - value) <= allowed
        return [] if agrees else [f"{where}: {theirs!r}, expected {value!r} within {allowed:.1g}"]
    if isinstance(mine, dict) and isinstance(theirs, dict):
        return _differing_keys(mine, theirs, where)
    if isinstance(mine, list) and isinstance(theirs, list) and len(mine) == len(theirs):
        return [
            text
            for n, pair in enumerate(zip(mine, theirs, strict=True))
            for text in differences(*pair, f"{where}[{n}]")
        ]
    same = type(mine) is type(theirs) and mine == theirs
    return [] if same else [f"{where}: {theirs!r}, expected {mine!r}"]


def _differing_keys(mine: dict[str, Any], theirs: dict[str, Any], where: str) -> list[str]:
    found = [f"{where}.{key} is missing" for key in mine if key not in theirs]
    found += [f"{where}.{key} is not worked out here" for key in theirs if key not in mine and key not in NO_NUMBERS]
    for key in mine:
        if key in theirs:
            found += differences(mine[key], theirs[key], f"{where}.{key}")
    return found


def ordered(plan: dict[str, Any]) -> dict[str, Any]:
    """Return the plan with its totals by name of cable, since nothing is said about their order."""
    return {**plan, "totals": sorted(plan["totals"], key=lambda total: total["cable"])}


def main(plan: str, design: str, folder: str) -> int:
    """Compare, print, and return the exit status."""
    theirs = ordered(json.loads(Path(plan).read_text(encoding="utf-8")))
    found = differences(expected(Path(design), Path(folder)), theirs)
    print("\n".join(found) or f"{plan}: every number agrees")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
