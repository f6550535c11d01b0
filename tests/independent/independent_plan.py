"""A second calculation of a plan, sharing no code with the workbook.

It reads the design file and the cable files as plain data, works everything out by its own formulas, and compares
every number of a plan's JSON with its own:

    python independent_plan.py PLAN.json DESIGN.toml CABLE_FOLDER

prints each difference and ends with status 1 if there is one. Fields inside the metals are carried layer by layer
with unscaled Bessel functions, check frequencies are found by scanning for a reactance of nought, the range of
claddings is scanned densely, and noise from the sky is added up over a grid of directions. What the search for the
fewest delays found is taken from the plan, after it has been held against a search of this script's own.
"""

import csv
import functools
import hashlib
import itertools
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
    "mS/m": 1e-3,
    "dB": 1.0,
    "uH": 1e-6,
    "pF": 1e-12,
    "ohm": 1.0,
    "Mohm": 1e6,
    "V": 1.0,
    "nV": 1e-9,
    "mA": 1e-3,
    "pA": 1e-12,
    "W": 1.0,
    "mV/m": 1e-3,
    "s": 1.0,
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

    @functools.cache  # noqa: B019
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


@functools.cache
def cable_from(path: Path, measured: tuple[tuple[str, Any], ...]) -> Cable:
    """Return a cable, read and worked out once."""
    return Cable(path, dict(measured))


# --- check frequency --------------------------------------------------------------------------------------


def open_impedance(cable: Cable, length: float, connectors: float, hertz: Any) -> Any:
    """Return what is seen into a line with its far end open; connectors count as cable of their delay."""
    gamma, impedance = cable.line(hertz)
    whole = length + 2 * np.pi * np.asarray(hertz) * connectors / gamma.imag
    return impedance / np.tanh(gamma * whole)


@functools.cache
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


def positions(array: dict[str, Any], folder: Path) -> Any:
    """Return (N, 2): east, north [m]."""
    if array["kind"] == "custom":
        return table_of_positions(folder / array["positions_file"])
    if array["kind"] in ("row", "two-row"):
        return straight(array)
    if array["kind"] == "ring":
        count, radius = array["count"], si(array["diameter"]) / 2
    elif array["kind"] == "square":
        count, radius = 4, si(array["side"]) / np.sqrt(2)
    else:
        raise ValueError(f"this script knows no array {array['kind']!r}")
    # clockwise from north, as a complex number north + j east
    turn = np.exp(1j * (si(array.get("first_azimuth", "0 deg")) + 2 * np.pi * np.arange(count) / count))
    return radius * np.column_stack((turn.imag, turn.real))


def straight(array: dict[str, Any]) -> Any:
    """Return a row, or two side by side, the left one first; the first element is the farthest ahead."""
    ahead = si(array["spacing"]) * np.arange(array["count"])[::-1]
    aside = np.array([-0.5, 0.5]) * si(array["width"]) if array["kind"] == "two-row" else np.zeros(1)
    # north + j east again: along is turned by the azimuth, to the right is 90 degrees more
    turned = (ahead - ahead.mean() + 1j * aside[:, None]).ravel() * np.exp(1j * si(array["azimuth"]))
    return np.column_stack((turned.imag, turned.real))


def table_of_positions(path: Path) -> Any:
    """Return the positions of a CSV file whose heading names units."""
    with path.open(encoding="utf-8", newline="") as file:
        heading, *rows = csv.reader(file)
    units = [re.search(r"\((.*)\)", title) for title in heading]
    names = [title.partition("(")[0].strip() for title in heading]
    found = {}
    for number, row in enumerate(rows, 1):
        cells = dict(zip(names, row, strict=True))
        scale = {name: UNITS[unit[1]] if unit else 1.0 for name, unit in zip(names, units, strict=True)}
        place = [float(cells[name]) * scale[name] for name in ("east", "north")]
        found[int(cells.get("element", number))] = place
    return np.array([found[number] for number in sorted(found)])


# --- the sky: one element over ground, and a grid of directions ----------------------------------------------


@functools.cache
def grid() -> tuple[Any, Any, Any]:
    """Return sines of elevation, their weights in an average over the whole sphere, and azimuths all round.

    The sine is the square of a Gauss-Legendre variable, so that points crowd at the horizon; azimuths are evenly
    spaced, which is exact for the harmonics that arrays of this size make.
    """
    s, weight = np.polynomial.legendre.leggauss(64)
    s, weight = (s + 1) / 2, weight / 2
    # half of the sphere lies below ground, where nothing arrives
    return s**2, weight * 2 * s / 2, 2 * np.pi * np.arange(96) / 96


class Sky:
    """An array on a frequency over its ground: responses toward directions, noise from everywhere."""

    def __init__(self, stakes: Any, hertz: float, ground: dict[str, Any]) -> None:
        """Work out the phases of waves from every point of the grid."""
        self.stakes, self.hertz, self.ground = stakes, hertz, ground
        sine, weight, around = grid()
        self.phases = self.phase(around[None], np.sqrt(1 - sine**2)[:, None])
        self.share = weight * np.abs(self.element(sine)) ** 2 / len(around)

    def phase(self, azimuth: Any, cosine: Any) -> Any:
        """Return e^{jk u.r} at the elements, last axis."""
        k = 2 * np.pi * self.hertz / C
        toward = np.stack(np.broadcast_arrays(cosine * np.sin(azimuth), cosine * np.cos(azimuth)), axis=-1)
        return np.exp(1j * k * (toward @ self.stakes.T))

    def element(self, sine: Any) -> Any:
        """Return what one short vertical receives: the wave and its reflection, 1 at the horizon of a mirror."""
        square = 1 - np.asarray(sine) ** 2
        if self.ground["kind"] == "perfect":
            return np.sqrt(square)
        epsilon0 = 1 / (MU0 * C**2)
        loss = self.ground["conductivity_s_per_m"] / (2 * np.pi * self.hertz * epsilon0)
        epsilon = self.ground["relative_permittivity"] - 1j * loss
        inside = np.sqrt(epsilon - square) / epsilon
        return np.sqrt(square) * (1 + (sine - inside) / (sine + inside)) / 2

    def noise(self, weights: Any) -> float:
        """Return the average power over the sphere."""
        return float((np.abs(self.phases @ weights) ** 2).sum(axis=1) @ self.share)

    @functools.cached_property
    def matrix(self) -> Any:
        """Return what every pair of elements receives in common, so that noise is a product with it."""
        return np.einsum("eam,ean,e->mn", self.phases, self.phases.conj(), self.share, optimize=True).real

    def signal(self, weights: Any, azimuth: float, elevation: float) -> float:
        """Return the power toward a direction, relative to one element there."""
        return float(np.abs(self.phase(azimuth, np.cos(elevation)) @ weights) ** 2)


@functools.cache
def sky_over(stakes: tuple[tuple[float, float], ...], hertz: float, ground: tuple[tuple[str, Any], ...]) -> Sky:
    """Return the sky of an array, the same object for the same array."""
    return Sky(np.array(stakes), hertz, dict(ground))


@functools.cache
def figures(sky: Sky, weights: tuple[complex, ...], azimuth: float, elevation: float) -> dict[str, Any]:
    """Return a direction's figures as plain ratios; an infinite front-to-back is None."""
    weights = np.array(weights)
    front, back = (sky.signal(weights, a, elevation) for a in (azimuth, azimuth + np.pi))
    noise, own = sky.noise(weights), float((np.abs(weights) ** 2).sum())
    one = sky.noise(np.eye(len(weights))[0])
    # independent errors add power at random: a tenth of a decibel in size, a degree across
    stray = ((10 ** (0.1 / 20) - 1) ** 2 + np.radians(1) ** 2) * own * one
    return {
        "rdf_db": front * abs(sky.element(np.sin(elevation))) ** 2 / noise,
        "front_to_back_db": front / back if back > 1e-15 * front else None,
        "signal_gain_db": front,
        "noise_gain_db": noise / one,
        "white_noise_gain_db": front / own,
        "rdf_lost_to_errors_db": (noise + stray) / noise,
        "elsewhere_over_aim_db": max(sky.signal(weights, azimuth + np.radians(2 * n), elevation) for n in range(180))
        / front,
    }


def in_db(ratio: float | None) -> Any:
    """Return decibels that must agree to a hundred-thousandth of one."""
    return None if ratio is None else near(10 * np.log10(ratio), 10)


# --- what the rules ask for -------------------------------------------------------------------------------

Feeds = tuple[Any, Any, Any]
"""Waits [s], not a number where off; polarities, 0 where off; amplitudes."""


def waits(stakes: Any, azimuth: float, elevation: float) -> Any:
    """Return how long each element waits for the one the wave meets last [s]."""
    toward = np.array([np.sin(azimuth), np.cos(azimuth)]) * np.cos(elevation)
    ahead = stakes @ toward
    return (ahead - min(ahead)) / C


def rows_across(stakes: Any, azimuth: float) -> list[list[int]]:
    """Return the elements that a wave meets together to the millimetre, the row nearest to its source first."""
    ahead = stakes @ np.array([np.sin(azimuth), np.cos(azimuth)])
    rows: list[list[int]] = []
    for number in np.argsort(-ahead).tolist():
        if rows and ahead[rows[-1][-1]] - ahead[number] < 1e-3:
            rows[-1].append(number)
        else:
            rows.append([number])
    return rows


def entered(one: dict[str, Any], count: int, cut: float) -> Feeds:
    given = one.get("delays") or one["phases"]
    scale = 1.0 if "delays" in one else 1 / (2 * np.pi * cut)
    delays = np.array([np.nan if text == "off" else si(text) * scale for text in given])
    polarity = np.where(np.isnan(delays), 0, one.get("polarity", [1] * count))
    return delays - np.nanmin(delays), polarity, np.abs(polarity).astype(float)


def from_the_widest_gap(turns: Any, whole: float) -> Any:
    """Return points on a circle measured from the one after its widest gap, so that the farthest is near."""
    around = np.asarray(turns) % whole
    order = np.argsort(around)
    rising = around[order]
    gap = np.diff(rising, append=rising[0] + whole)
    # points but for rounding on both sides of the seam are one
    return (around - rising[(np.argmax(np.round(gap / whole, 9)) + 1) % len(rising)] + 1e-12 * whole) % whole


def endfire(stakes: Any, azimuth: float, hertz: float, null: float, inversion: bool) -> Feeds:
    """Return the feeds of end-fire pairs.

    Front and rear of a pair meet the wave at x and y, as times. Without inversion the front's wave adds to the rear's
    as sin(w(x - y)) at the phase of x less 90 degrees, with it at the phase of y plus 90: by so much pairs wait.
    """
    toward = np.array([np.sin(azimuth), np.cos(azimuth)]) * np.cos(null) / C
    rows, period = rows_across(stakes, azimuth), 1 / hertz
    met = [float((stakes[row] @ toward).mean()) for row in rows]
    delays, polarity = np.full(len(stakes), np.nan), np.zeros(len(stakes), dtype=int)
    pairs = [(n, len(rows) - 1 - n) for n in range(len(rows) // 2)]
    phase = []
    for front, rear in pairs:
        apart = met[front] - met[rear]
        behind = np.sin(2 * np.pi * hertz * apart) < 0
        phase.append(met[rear if inversion else front] + (period / 2 if behind else 0.0))
        delays[rows[front]] = 0.0 if inversion else (period / 2 - apart) % period
        delays[rows[rear]] = apart if inversion else 0.0
        polarity[rows[front]], polarity[rows[rear]] = 1, -1 if inversion else 1
    for (front, rear), more in zip(pairs, from_the_widest_gap(phase, period), strict=True):
        delays[rows[front] + rows[rear]] += more
    return delays - np.nanmin(delays), polarity, np.abs(polarity).astype(float)


def greatest_rdf(sky: Sky, azimuth: float, elevation: float, limit: float, inversion: bool) -> Feeds:
    """Return the feeds of greatest RDF: noise is least for a given signal, white noise added until it is kept."""
    d = sky.phase(azimuth, np.cos(elevation))

    def weights(added: float) -> Any:
        return np.linalg.solve(sky.matrix + added * np.eye(len(d)), d.conj())

    def over(logarithm: float) -> float:
        w = weights(10**logarithm)
        return float(10 * np.log10(np.abs(d @ w) ** 2 / (np.abs(w) ** 2).sum()) - limit)

    w = weights(10 ** brentq(over, -12, 6, xtol=1e-13) if over(-12) < 0 else 0.0)
    lag, half = -np.angle(w), np.pi if inversion else 2 * np.pi
    waits = from_the_widest_gap(lag, half)
    turned = w * np.exp(1j * waits)
    polarity = np.where((turned / turned[np.argmax(np.abs(w))]).real < 0, -1, 1)
    return (waits - waits.min()) / (2 * np.pi * sky.hertz), polarity, np.abs(w) / np.abs(w).max()


def gathered(delays: Any, highest: float) -> list[list[float]]:
    """Return the groups of delays that are one line, in ascending order."""
    apart = 0.05 / 360 / highest
    groups: list[list[float]] = []
    # what differs by rounding is one delay
    for delay in sorted({float(d) for d in np.round(np.ravel(delays), 18) if d >= apart}):
        if groups and delay - groups[-1][-1] < apart:
            groups[-1].append(delay)
        else:
            groups.append([delay])
    return groups


def which(groups: list[list[float]], delay: float) -> int | None:
    for number, group in enumerate(groups):
        if group[0] <= np.round(delay, 18) <= group[-1]:
            return number
    return None


# --- the plan ---------------------------------------------------------------------------------------------


class Design:
    """A design file as plain data, with what all parts of the plan need."""

    def __init__(self, path: Path, folder: Path, plan: Any) -> None:
        """Read the design and every cable it names; `plan` says what only a search can find."""
        self.path, self.folder = path, folder
        raw = path.read_bytes()
        self.sha256 = hashlib.sha256(raw).hexdigest()
        self.data = tomllib.loads(raw.decode())
        measured = self.data.get("velocity_factor", {})
        self.cable = {
            name: cable_from(folder / f"{name}.toml", tuple(measured.get(name, {}).items()))
            for name in self.data["cables"].values()
        }
        self.bands = {name: si(text) for name, text in self.data["bands"].items()}
        self.phasing = self.data["phasing"]
        self.rule, self.elevation = self.phasing["rule"], si(self.phasing["elevation"])
        self.cut = self.bands[self.phasing["cut_band"]]
        self.trim = si(self.data["cutting"]["trim"])
        self.stakes = positions(self.data["array"], path.parent)
        self.ground = ground(self.data.get("ground", {}))
        places = tuple(map(tuple, self.stakes.tolist()))
        self.skies = {hertz: sky_over(places, hertz, tuple(self.ground.items())) for hertz in self.bands.values()}
        self.azimuths = [si(one["azimuth"]) for one in self.data["directions"]]
        self.feeds = [
            searched(one) if self.rule == "fewest-delays" else like(one, self.ruled(number, self.cut))
            for number, one in enumerate(plan["directions"])
        ]
        delays = np.array([row for row, _, _ in self.feeds], dtype=float).reshape(-1, len(self.stakes))
        self.groups = gathered(delays, max(self.bands.values()))
        self.longest = float(np.nanmax(delays, initial=0.0)) or 1e-9
        self.hub = self.data["hub"]["kind"]

    @functools.cached_property
    def accept(self) -> float:
        """Return the accepted error [degree], which follows from the design where it says none."""
        given = self.data["cutting"].get("accept")
        return accepted(self) if given is None else float(np.degrees(si(given)))

    def ruled(self, number: int, hertz: float) -> Feeds:
        """Return what a direction's rule asks for when it is solved on a frequency."""
        azimuth, inversion = self.azimuths[number], self.phasing.get("polarity_inversion", False)
        if self.rule == "entered":
            return entered(self.data["directions"][number], len(self.stakes), self.cut)
        if self.rule == "endfire":
            null = si(self.phasing.get("null_elevation", self.phasing["elevation"]))
            return endfire(self.stakes, azimuth, hertz, null, inversion)
        if self.rule == "greatest-rdf":
            limit = si(self.phasing["least_white_noise_gain"])
            return greatest_rdf(self.skies[hertz], azimuth, self.elevation, limit, inversion)
        if self.rule == "aligned":
            delays = waits(self.stakes, azimuth, self.elevation)
            return delays, np.ones(len(delays), dtype=int), np.ones(len(delays))
        raise ValueError(f"this script knows no rule {self.rule!r}")

    def end(self, kind: str) -> tuple[float, float]:
        """Return delay of both connectors [s], and cable that goes into both [m]."""
        end = self.data.get("ends", {}).get(kind, {})
        return 2 * si(end.get("delay", "0 ns")), 2 * si(end.get("strip", "0 m"))

    def line_of(self, delay: float) -> int | None:
        """Return the number of the line that makes a delay."""
        return None if np.isnan(delay) else which(self.groups, delay)

    def line_delays(self, hub: str) -> list[float]:
        """Return the delays of the lines, of a ladder those of its pieces."""
        whole = [float(np.mean(group)) for group in self.groups]
        return [late - early for early, late in itertools.pairwise([0.0, *whole])] if hub == "ladder" else whole

    def users(self, number: int | None) -> list[list[int]]:
        """Return the polarities of the elements on a line, or on none, direction by direction."""
        return [
            [int(sign) for delay, sign in zip(delays, signs, strict=True) if sign and self.line_of(delay) == number]
            for delays, signs, _ in self.feeds
        ]

    def pieces(self, number: int, hub: str) -> int:
        """Return how many pieces of a line the hub needs at once."""
        if hub == "ladder":
            return 1
        return max(len(set(signs) if hub == "joined" else signs) for signs in self.users(number))


def ground(table: dict[str, Any]) -> dict[str, Any]:
    """Return the ground as the plan says it, 13 and 5 mS/m where the design says nothing."""
    if "kind" in table:
        if table["kind"] != "perfect":
            raise ValueError(f"this script knows no ground {table['kind']!r}")
        return {"kind": "perfect", "relative_permittivity": None, "conductivity_s_per_m": None}
    return {
        "kind": "entered",
        "relative_permittivity": float(table.get("relative_permittivity", 13)),
        "conductivity_s_per_m": si(table.get("conductivity", "5 mS/m")),
    }


def label(number: int | None) -> str | None:
    return None if number is None else "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[number]


def like(one: dict[str, Any], feeds: Feeds) -> Feeds:
    """Return feeds with every polarity turned over where the plan turns the first: no figure can tell these apart."""
    delays, polarity, amplitude = feeds
    return delays, polarity * (-1 if one["elements"][0]["polarity"] * polarity[0] < 0 else 1), amplitude


# --- the search for the fewest delays ---------------------------------------------------------------------


def searched(one: dict[str, Any]) -> Feeds:
    """Return the feeds of a direction as the plan says them."""
    columns = zip(*((feed["delay_s"], feed["polarity"], feed["amplitude"]) for feed in one["elements"]), strict=True)
    delays, polarity, amplitude = (np.array(column) for column in columns)
    return delays, polarity, amplitude


def least_rdf(design: Design, number: int, delays: Any, polarity: Any, kept: bool = True) -> Any:
    """Return the least RDF [dB] over all bands of feeds (P, N) of a direction, none to speak of below the limit."""
    least, own = np.full(len(delays), np.inf), np.full(len(delays), np.inf)
    limit = si(design.phasing.get("least_white_noise_gain", "-300 dB")) if kept else -300.0
    for hertz, sky in design.skies.items():
        w = polarity * np.exp(-2j * np.pi * hertz * delays)
        d = sky.phase(design.azimuths[number], np.cos(design.elevation))
        power = np.abs(sky.element(np.sin(design.elevation))) ** 2
        noise = np.einsum("pn,pn->p", w @ sky.matrix, w.conj()).real
        signal = np.abs(w @ d) ** 2
        least = np.minimum(least, 10 * np.log10(signal * power / noise))
        own = np.minimum(own, 10 * np.log10(signal / len(design.stakes)))
    return np.where(own < limit - 1e-6, -300.0, least)


class Tries:
    """Lines and polarities of rows, drawn at random, and the delays of the lines."""

    def __init__(self, design: Design, number: int, count: int) -> None:
        """Draw many."""
        self.design, self.number, self.chance = design, number, np.random.default_rng(1)
        rows = rows_across(design.stakes, design.azimuths[number])
        self.row = np.array([[n in row for row in rows].index(True) for n in range(len(design.stakes))])
        lines, inversion = design.phasing["lines"], design.phasing.get("polarity_inversion", True)
        self.line = self.chance.integers(0, lines + 1, (count, len(rows)))
        self.sign = self.chance.choice([-1, 1] if inversion else [1], (count, len(rows)))
        self.period = 1 / min(design.bands.values())
        self.delays = np.column_stack((np.zeros(count), self.chance.uniform(0, self.period, (count, lines))))

    def rdf(self, delays: Any) -> Any:
        waits = np.take_along_axis(delays, self.line, axis=1)[:, self.row]
        return least_rdf(self.design, self.number, waits, self.sign[:, self.row])

    def best(self) -> float:
        """Return the greatest least RDF after the best few hundred have been shaken with ever less force."""
        found = self.rdf(self.delays)
        few = np.argsort(-found)[:300]
        self.line, self.sign, self.delays, found = self.line[few], self.sign[few], self.delays[few], found[few]
        for force in self.period * 0.1 * 0.93 ** np.arange(120):
            moved = self.delays + force * self.chance.standard_normal(self.delays.shape) * (self.delays > 0)
            moved = np.clip(moved, 0, self.period)
            now = self.rdf(moved)
            better = now > found
            self.delays[better], found[better] = moved[better], now[better]
        return float(found.max())


@functools.cache
def best_found(path: Path, folder: Path, number: int, aimed: float) -> float:
    """Return the greatest least RDF [dB] that chance finds for a direction; `aimed` is its azimuth."""
    plan = {"directions": []}
    return Tries(Design(path, folder, plan), number, 40_000).best()


def search_faults(design: Design, path: Path, folder: Path) -> list[str]:
    """Return what is wrong with delays and polarities that a plan says it has searched for."""
    faults = []
    for number, (delays, polarity, amplitude) in enumerate(design.feeds):
        where = f"plan.directions[{number}]"
        if not (np.all(np.abs(polarity) == 1) and np.all(amplitude == 1) and np.all(delays >= 0) and 0 in delays):
            faults.append(f"{where}: an element is off, weaker than another or early")
        for row in rows_across(design.stakes, design.azimuths[number]):
            if len(set(delays[row])) > 1 or len(set(polarity[row])) > 1:
                faults.append(f"{where}: elements of one row are fed differently")
        if len(set(delays) - {0.0}) > design.phasing["lines"]:
            faults.append(f"{where}: more delays than lines")
        if len(set(polarity)) > 1 and not design.phasing.get("polarity_inversion", True):
            faults.append(f"{where}: elements are reversed")
        here = float(least_rdf(design, number, delays[None], polarity[None])[0])
        chance = best_found(path, folder, number, design.azimuths[number])
        if chance > here + 0.001:
            faults.append(f"{where}: {here:.4f} dB is less than {chance:.4f} dB, which chance has found")
    return faults


@functools.cache
def slack(path: Path, folder: Path, number: int, feeds: tuple[tuple[float, int], ...], delay: float) -> float | None:
    """Return how far one delay may move, either way, before the least RDF has fallen by 0.3 dB; None if at will."""
    design = Design(path, folder, {"directions": []})
    delays, polarity = (np.array(column) for column in zip(*feeds, strict=True))
    lowest = float(least_rdf(design, number, delays[None], polarity[None], kept=False)[0]) - 0.3

    def over(move: Any) -> Any:
        moved = delays + np.multiply.outer(np.atleast_1d(move), delays == delay)
        return least_rdf(design, number, moved, polarity[None], kept=False) - lowest

    scan = np.linspace(0, 1 / min(design.bands.values()), 2001)
    ends = []
    for side in (1, -1):
        under = np.flatnonzero(over(side * scan) < 0)
        if under.size:
            near_end, far_end = side * scan[under[0] - 1], side * scan[under[0]]
            ends.append(abs(brentq(lambda move: float(over(move)[0]), near_end, far_end, xtol=1e-17)))
    return min(ends) if ends else None


def slacks(design: Design) -> list[dict[str, Any]]:
    """Return the slack of each delay of each direction that was searched for."""
    found = []
    for number, (delays, polarity, _) in enumerate(design.feeds if design.rule == "fewest-delays" else []):
        feeds = tuple(zip(delays.tolist(), polarity.tolist(), strict=True))
        for delay in sorted(set(delays.tolist()) - {0.0}):
            most = slack(design.path, design.folder, number, feeds, delay)
            found.append(
                {
                    "direction": design.data["directions"][number]["name"],
                    "line": label(design.line_of(delay)),
                    "slack_s": None if most is None else near(most),
                }
            )
    return found


# --- the plan's parts -------------------------------------------------------------------------------------


def direction_bands(design: Design, number: int) -> list[dict[str, Any]]:
    """Return a direction's figures on every band, and how far it is from its rule there."""
    found = []
    for name, hertz in design.bands.items():
        other = design.rule in ("endfire", "greatest-rdf") and hertz != design.cut
        both = (design.feeds[number], design.ruled(number, hertz) if other else design.feeds[number])
        planned, ruled = (
            np.nan_to_num(signs * sizes * np.exp(-2j * np.pi * hertz * np.nan_to_num(delays)))
            for delays, signs, sizes in both
        )
        aim = design.azimuths[number], design.elevation
        here, there = (figures(design.skies[hertz], tuple(w), *aim) for w in (planned, ruled))
        off = planned * ruled.conj()
        around = sorted(float(a) % 360 for a in np.angle(off[off != 0], deg=True))
        # all lie on what the widest gap leaves of the circle, and the best common phase is its middle
        gap = max(b - a for a, b in zip(around, [*around[1:], around[0] + 360], strict=True))
        found.append(
            {
                "name": name,
                **{key: in_db(value) for key, value in here.items()},
                "rule_rdf_db": in_db(there["rdf_db"]),
                "phase_from_rule_deg": near((360 - gap) / 2 if other else 0.0, 90),
            }
        )
    return found


def directions(design: Design) -> list[dict[str, Any]]:
    found = []
    for number, one in enumerate(design.data["directions"]):
        feeds = [
            {
                "number": n,
                "delay_s": None if sign == 0 else near(delay, design.longest),
                "polarity": int(sign),
                "amplitude": near(size, 1.0),
                "line": label(design.line_of(delay)),
            }
            for n, (delay, sign, size) in enumerate(zip(*design.feeds[number], strict=True), 1)
        ]
        azimuth = near(np.degrees(design.azimuths[number]), 360)
        bands = direction_bands(design, number)
        found.append({"name": one["name"], "azimuth_deg": azimuth, "elements": feeds, "bands": bands})
    return found


def shapes(design: Design) -> list[dict[str, Any]]:
    """Return the shape of every pattern, found on fine grids."""
    found = []
    for number, one in enumerate(design.data["directions"]):
        delays, signs, sizes = design.feeds[number]
        for name, hertz in design.bands.items():
            weights = np.nan_to_num(signs * sizes * np.exp(-2j * np.pi * hertz * np.nan_to_num(delays)))
            figures = pattern_shape(design.skies[hertz], tuple(weights), design.azimuths[number], design.elevation)
            found.append({"direction": one["name"], "band": name, **figures})
    return found


STEP = 0.02
"""Degrees between points of a cut through a pattern."""
HEIGHTS = np.radians(np.arange(0, 90.1, 0.5))
MIDDLES = (HEIGHTS[1:] + HEIGHTS[:-1]) / 2


@functools.cache
def fields(sky: Sky, azimuth: float, elevation: float) -> tuple[Any, ...]:
    """Return what each element receives: from ahead, behind on a grid and between its points, all round, upward."""
    rear = azimuth + np.radians(np.arange(90, 270.1, 0.5))
    places = (
        (np.array(azimuth), np.array(elevation)),
        (rear[None], HEIGHTS[:, None]),
        (rear[None, :-1] + np.radians(0.25), MIDDLES[:, None]),
        (azimuth + np.radians(np.arange(0, 360, STEP)), np.array(elevation)),
        (np.array(azimuth), np.radians(np.arange(0, 90 + STEP / 2, STEP))),
    )
    return tuple(
        sky.phase(toward, np.cos(height)) * np.asarray(np.abs(sky.element(np.sin(height))))[..., None]
        for toward, height in places
    )


@functools.cache
def pattern_shape(sky: Sky, weights: tuple[complex, ...], azimuth: float, elevation: float) -> dict[str, Any]:
    """Return one pattern's front over rear, widths, peak and nulls, and how far each may be off."""
    powers = (np.abs(field @ np.array(weights)) ** 2 for field in fields(sky, azimuth, elevation))
    front, behind, between, around, upward = powers
    # over solid angle: rings shrink toward the zenith
    mean = np.average(between.mean(axis=1), weights=np.cos(MIDDLES))
    step = STEP
    level = 10 * np.log10(np.maximum(around / around.max(), 1e-30))
    dips = np.flatnonzero((level < np.roll(level, 1)) & (level <= np.roll(level, -1)) & (level < -15))
    return {
        "front_to_rear_worst_db": below_db(float(front), behind.max(), 0.01),
        "front_to_rear_mean_db": below_db(float(front), mean, 0.02),
        "azimuth_beamwidth_deg": half_power(np.roll(around, len(around) // 2), len(around) // 2, step, ends=False),
        "elevation_beamwidth_deg": half_power(upward, int(np.argmax(upward)), step, ends=True),
        "peak_elevation_deg": (float(np.argmax(upward) * step), 0.2),
        "nulls": [
            {
                "bearing_deg": (float((np.degrees(azimuth) + dip * step) % 360), 0.1),
                # a null that is none in the numbers' sense is as deep as the grid is fine
                "below_greatest_db": None if level[dip] < -60 else (float(-level[dip]), 0.05),
            }
            for dip in dips
        ],
    }


def below_db(front: float, rear: float, within: float) -> Any:
    return None if rear == 0 else (float(10 * np.log10(front / rear)), within)


def half_power(power: Any, start: int, step: float, ends: bool) -> Any:
    """Walk uphill from a place, then to half power on both sides; the horizon ends a lobe, a circle does not."""
    while 0 < start < len(power) - 1 and max(power[start - 1], power[start + 1]) > power[start]:
        start += 1 if power[start + 1] > power[start - 1] else -1
    sides = [np.flatnonzero(side < power[start] / 2) for side in (power[start::-1], power[start:])]
    if not ends and not all(side.size for side in sides):
        return None
    far = [side[0] if side.size else whole for side, whole in zip(sides, (start, len(power) - 1 - start), strict=True)]
    return float(sum(far) * step), 0.1


def switch_table(design: Design) -> list[dict[str, Any]]:
    return [
        {"direction": one["name"], "element": n, "line": label(design.line_of(delay)), "polarity": int(sign)}
        for one, (delays, signs, _) in zip(design.data["directions"], design.feeds, strict=True)
        for n, (delay, sign) in enumerate(zip(delays, signs, strict=True), 1)
    ]


def declination(design: Design) -> float | None:
    site = design.data.get("site")
    return None if site is None else float(np.degrees(si(site["declination"])))


def stakes(design: Design) -> list[dict[str, Any]]:
    reach, found = np.abs(design.stakes).max(), []
    east_of_north = declination(design)
    for n, place in enumerate(design.stakes, 1):
        north = complex(place[1], place[0])
        bearing = np.degrees(np.angle(north)) if abs(north) >= 1e-3 else 0.0
        magnetic = None if east_of_north is None else near((bearing - east_of_north) % 360, 360)
        found.append(
            {
                "element": n,
                "east_m": near(place[0], reach),
                "north_m": near(place[1], reach),
                "distance_m": near(abs(north), reach),
                "azimuth_deg": near(bearing % 360, 360),
                "magnetic_deg": magnetic,
            }
        )
    return found


def tapes(design: Design) -> list[dict[str, Any]]:
    """Return the tapes that set each stake: from the centre and the first stake, where these are in line a third."""
    places, centre = design.stakes, np.zeros(2)
    away = [n for n, place in enumerate(places) if np.hypot(*place) >= 1e-3]
    base = away[0]

    def crossing_angle(at: Any, one: Any, other: Any) -> float:
        """Return the acute angle [deg] at which tapes from two places meet."""
        turned = np.angle(complex(*(one - at)) / complex(*(other - at)), deg=True)
        return float(round(min(abs(turned), 180 - abs(turned)), 6))

    found: list[dict[str, Any]] = []
    for n in away:
        starts = [None] if n == base else [None, base]
        if n != base and crossing_angle(places[n], centre, places[base]) < 10:
            good = [
                other
                for other in away
                if other not in (n, base)
                and crossing_angle(places[other], centre, places[base]) >= 10
                and crossing_angle(places[n], centre, places[other]) >= 10
            ]
            # one that stands already, else any; of these the one whose tape crosses best
            good = [other for other in good if other < n] or good
            good.sort(key=lambda other: -crossing_angle(places[n], centre, places[other]))
            starts += good[:1]
        for start in starts:
            length = np.hypot(*(places[n] - (centre if start is None else places[start])))
            found.append({"from": "centre" if start is None else start + 1, "to": n + 1, "length_m": near(length)})
    return found


def hub_options(design: Design) -> list[dict[str, Any]]:
    """Return what each kind of hub takes, least cable first."""
    options = [hub_option(design, kind) for kind in ("joined", "ports", "ladder")]
    return sorted(options, key=lambda option: np.inf if option["cable_m"] is None else option["cable_m"][0])


def hub_option(design: Design, kind: str) -> dict[str, Any]:
    connectors, strips = design.end("delay_line")
    cable = design.cable[design.data["cables"]["delay_line"]]
    delays = design.line_delays(kind)
    counts = [design.pieces(number, kind) for number in range(len(delays))]
    speed = float(cable.velocity(design.cut)) * C
    whole = sum(n * ((delay - connectors) * speed + strips) for n, delay in zip(counts, delays, strict=True))
    too_short = any(delay <= connectors for delay in delays)
    combiners, inverters = hub_parts(design, kind)
    return {
        "kind": kind,
        "pieces": sum(counts),
        "cable_m": None if too_short else near(whole),
        "combiner_inputs": sorted((inputs for inputs in combiners if inputs > 1), reverse=True),
        "inverting_transformers": inverters,
    }


def hub_parts(design: Design, kind: str) -> tuple[list[int], int]:
    """Return the inputs of all combiners, each for the direction that asks most of it, and the inverters."""
    by_line = {number: design.users(number) for number in (None, *range(len(design.groups)))}
    directions = range(len(design.feeds))
    if kind == "ports":
        on = [sum(len(by_line[number][d]) for number in by_line) for d in directions]
        return [max(on)], max(sum(row[d].count(-1) for row in by_line.values()) for d in directions)
    # elements of one line and polarity meet first, wherever they then go
    combiners = [max(row[d].count(sign) for d in directions) for row in by_line.values() for sign in (1, -1)]
    groups = {number: [len(set(row[d])) for d in directions] for number, row in by_line.items()}
    if kind == "joined":
        combiners.append(max(sum(row[d] for row in groups.values()) for d in directions))
    else:
        # at every tap but the last the chain comes in too
        last = list(groups)[-1]
        combiners += [max(row) + (number != last) for number, row in groups.items()]
    return combiners, sum(any(-1 in row[d] for d in directions) for row in by_line.values())


# --- what errors cost ---------------------------------------------------------------------------------------


def planned_weights(design: Design, hertz: float) -> Any:
    """Return the weights of every direction (D, N) on a frequency."""
    rows = [
        signs * sizes * np.exp(-2j * np.pi * hertz * np.nan_to_num(delays)) for delays, signs, sizes in design.feeds
    ]
    return np.nan_to_num(np.array(rows))


def levels(design: Design, weights: Any, hertz: float, deepest: float = 60) -> Any:
    """Return RDF and front-to-back [dB], no more than the deepest of it, of weights (..., D, N): arrays (2, ..., D)."""
    sky = design.skies[hertz]
    noise = np.einsum("...m,mn,...n->...", weights.conj(), sky.matrix, weights).real
    there = sky.phase(np.array(design.azimuths), np.cos(design.elevation))
    front, back = (np.abs((weights * phases).sum(axis=-1)) ** 2 for phases in (there, there.conj()))
    rdf = 10 * np.log10(front * abs(sky.element(np.sin(design.elevation))) ** 2 / noise)
    return np.array([rdf, np.minimum(10 * np.log10(front / np.maximum(back, 1e-16 * front)), deepest)])


def lost(design: Design, found: dict[float, Any], deepest: float = 60) -> Any:
    """Return the most RDF and front-to-back that weights (..., D, N) by frequency lose beside the planned ones."""
    worst = []
    for hertz, weights in found.items():
        before = levels(design, planned_weights(design, hertz)[None], hertz, deepest)
        after = levels(design, weights.reshape(-1, *weights.shape[-2:]), hertz, deepest)
        worst.append((before - after).max(axis=(1, 2)))
    return np.max(worst, axis=0)


def accepted(design: Design) -> float:
    """Return the greatest error, in tenths of a degree, that loses at most 0.1 dB of RDF and 1 dB of front-to-back.

    A front-to-back of 20 dB is enough: one of 21 dB or more may fall to it. Every piece is off by it, one way or
    the other, in every combination.
    """
    users = []
    for delays, signs, _ in design.feeds:
        lines = [design.line_of(delay) for delay in delays]
        if design.hub == "joined":
            names = [None if line is None else (line, int(sign)) for line, sign in zip(lines, signs, strict=True)]
        else:
            names = [None if line is None else (n if design.hub == "ports" else line) for n, line in enumerate(lines)]
        users.append(names)
    late = np.array([_late(design, names) for names in users]).swapaxes(0, 1)
    for tenths in range(30, 2, -1):
        found = {
            f: planned_weights(design, f) * np.exp(-1j * np.radians(tenths / 10 * f / design.cut * late))
            for f in design.bands.values()
        }
        if np.all(lost(design, found, 21) <= (0.1, 1.0)):
            return tenths / 10
    return 0.2


def _late(design: Design, names: list[Any]) -> Any:
    """Return how often the error each element of a direction is late, for all combinations of 8 signs."""
    if design.hub == "ladder":
        pieces: list[Any] = list(range(len(design.groups)))
    else:
        pieces = sorted({name for name in names if name is not None})
    if len(pieces) > 8:
        raise ValueError("this script tries no more than 8 lines")
    rows = []
    for signs in itertools.product((1, -1), repeat=8):
        by_piece = dict(zip(pieces, signs, strict=False))
        if design.hub == "ladder":
            rows.append([0 if name is None else sum(signs[: name + 1]) for name in names])
        else:
            rows.append([0 if name is None else by_piece[name] for name in names])
    return np.array(rows)


STEPS = (0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30)


def merges(design: Design) -> list[dict[str, Any]]:
    """Return the least tolerance on the highest band for every smaller number of lines, and what it costs."""
    found, fewest, highest = [], len(design.groups), max(design.bands.values())
    for step in STEPS:
        apart = step / 360 / highest
        groups: list[list[float]] = []
        for delay in sorted({float(d) for group in _all_delays(design) for d in np.round(group, 18) if d >= apart}):
            if groups and delay - groups[-1][0] <= apart:
                groups[-1].append(delay)
            else:
                groups.append([delay])
        if len(groups) < fewest:
            fewest = len(groups)
            found.append({"tolerance_deg": near(float(step)), **_merged(design, groups)})
    return found


def _all_delays(design: Design) -> list[Any]:
    return [np.array(delays, dtype=float)[~np.isnan(delays)] for delays, _, _ in design.feeds]


def _merged(design: Design, groups: list[list[float]]) -> dict[str, Any]:
    """Return how many lines and pieces groups of delays make, and what they lose."""
    middle = {number: (group[0] + group[-1]) / 2 for number, group in enumerate(groups)}
    off, users = [], []
    for delays, signs, _ in design.feeds:
        lines = [None if np.isnan(delay) else which(groups, delay) for delay in delays]
        off.append([0.0 if np.isnan(d) else middle.get(line, 0.0) - d for d, line in zip(delays, lines, strict=True)])
        users.append([[int(s) for s, line in zip(signs, lines, strict=True) if line == n] for n in middle])
    pieces = [
        1 if design.hub == "ladder" else max(len(set(row[n]) if design.hub == "joined" else row[n]) for row in users)
        for n in middle
    ]
    weights = {f: planned_weights(design, f) * np.exp(-2j * np.pi * f * np.array(off)) for f in design.bands.values()}
    rdf, back = lost(design, weights).tolist()
    return {
        "lines": len(groups),
        "pieces": sum(pieces),
        "rdf_lost_db": near(rdf, 10.0),
        "front_to_back_lost_db": near(back, 10.0),
    }


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
    cable, ladder = design.cable[design.data["cables"]["delay_line"]], design.hub == "ladder"
    delay = design.line_delays(design.hub)[number]
    connectors, strips = design.end("delay_line")
    velocity, (slow, fast) = float(cable.velocity(design.cut)), cable.velocity_range(design.cut)
    inside = (delay - connectors) * C
    length, nominal = inside * velocity, inside * cable.nominal
    first = inside * fast + strips + design.trim
    return {
        "label": label(number),
        "from": label(number) if ladder else None,
        "to": label(number - 1) if ladder and number else None,
        "count": design.pieces(number, design.hub),
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
        "sharing_error_deg": near(
            360 * design.cut * float(np.abs(np.array(design.groups[number]) - np.mean(design.groups[number])).max()),
            360 * design.cut * float(np.mean(design.groups[number])),
        ),
        "loop_resistance_ohm": near(cable.loop_resistance * length),
        "compensated_length_m": None,
        "check": check(cable, length, first - strips, connectors, design.cut, design.accept),
        "bands": line_bands(design, cable, delay, length, nominal),
    }


def element_runs(design: Design) -> dict[str, Any]:
    cable = design.cable[design.data["cables"]["element_run"]]
    hub = np.array([si(place) for place in design.data["hub"].get("position", ["0 m", "0 m"])])
    slack = si(design.data["lengths"].get("slack", "0.5 m"))
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


def totals(
    design: Design, lines: list[dict[str, Any]], runs: dict[str, Any], receiver: dict[str, Any]
) -> list[dict[str, Any]]:
    """Return the sums by cable: lines as first cut, runs as finished; and what they cost."""
    per_metre = {
        cable: one["price"] / si(one.get("per", "1 m")) for cable, one in design.data.get("prices", {}).items()
    }
    parts = [(x["cable"], x["first_cut_m"][0], x["count"]) for x in lines]
    parts += [
        (runs["cable"], runs["length_to_cut_m"][0], runs["count"]),
        (receiver["cable"], receiver["length_m"][0], 1),
    ]
    whole = {c: sum(m * n for cable, m, n in parts if cable == c) for c, _, _ in parts}
    return [
        {
            "cable": cable,
            "length_m": near(whole[cable], within=SCANNED),
            "pieces": sum(n for c, _, n in parts if c == cable),
            "cost": near(whole[cable] * per_metre[cable], within=SCANNED) if cable in per_metre else None,
        }
        for cable in sorted(whole)
    ]


TOLERANCES = (
    ("reel_velocity_factor", "velocity factor", "reel", "1"),
    ("line_velocity_factor", "velocity factor", "each", "1"),
    ("cut_length", "cut length", "each", "m"),
    ("shared_cut_length", "cut length", "reel", "m"),
    ("connector_delay", "connector delay", "each", "s"),
    ("position", "position", "each", "m"),
    ("gain", "amplitude", "each", "1"),
    ("phase", "phase", "each", "degree"),
)
"""Keys of [tolerance] in their order, what each is on, what shares its errors, and its unit in the plan."""


def tolerances(design: Design) -> list[dict[str, Any]]:
    """Return how exactly the array is built, where the design says so."""
    table, found = design.data.get("tolerance", {}), []
    for key, what, shared, unit in TOLERANCES:
        if key not in table:
            continue
        value = table[key] if isinstance(table[key], float) else si(table[key])
        spread = 10 ** (value / 20) - 1 if key == "gain" else np.degrees(value) if key == "phase" else value
        kind = table.get("distribution", "uniform")
        found.append({"what": what, "kind": kind, "shared": shared, "spread": near(spread), "unit": unit})
    return found


# --- from the vertical to the receiver ----------------------------------------------------------------------

MAN_MADE = {"city": (76.8, 27.7), "residential": (72.5, 27.7), "rural": (67.2, 27.7), "quiet rural": (53.6, 28.6)}
EPSILON0 = 1 / (MU0 * C**2)
KT0 = 1.380649e-23 * 290.0


def db(ratio: Any) -> Any:
    return 10 * np.log10(ratio)


def power(decibels: Any) -> Any:
    return 10 ** (np.asarray(decibels) / 10)


class Element:
    """A vertical on perfect ground, chokes and a buffer, as a mesh of three impedances in series."""

    def __init__(self, table: dict[str, Any]) -> None:
        """Read the table; `table` gives every key."""
        self.height, self.diameter = si(table["height"]), si(table["diameter"])
        self.inductance, self.q = si(table["choke_inductance"]), table["choke_q"]
        self.stray, self.tolerance = si(table["choke_capacitance"]), table["choke_tolerance"]
        self.ohms, self.farads = si(table["input_resistance"]), si(table["input_capacitance"])
        self.gain, self.output = power(si(table["voltage_gain"])), si(table["output_resistance"])
        self.volts, self.amperes = si(table["noise_voltage"]), si(table["noise_current"])

    def mesh(self, hertz: Any, inductance: Any) -> tuple[Any, Any, Any]:
        """Return the impedances of vertical, chokes and input."""
        omega = 2 * np.pi * np.asarray(hertz)
        k = omega / C
        capacitance = 2 * np.pi * EPSILON0 * self.height / np.log(1.15 * self.height / self.diameter)
        vertical = 10 * (k * self.height) ** 2 - 1j * self.height / (C * capacitance * np.tan(k * self.height))
        coil = omega * inductance * (1j + 1 / self.q)
        chokes = coil / (1 + coil * 1j * omega * self.stray)
        return vertical, chokes, 1 / (1 / self.ohms + 1j * omega * self.farads)

    def transfer(self, hertz: Any, inductance: Any) -> Any:
        vertical, chokes, buffer = self.mesh(hertz, inductance)
        return buffer / (vertical + chokes + buffer)

    def stage(self, hertz: float) -> tuple[float, float]:
        """Return available power gain and noise factor."""
        vertical, chokes, buffer = self.mesh(hertz, self.inductance)
        share = abs(buffer / (vertical + chokes + buffer)) ** 2
        # spectral densities at the buffer's input [V^2]: of the vertical at 290 K, then of all that is not the vertical
        parallel = 1 / (1 / (vertical + chokes) + 1 / buffer)
        sky = 4 * KT0 * vertical.real * share
        chokes_noise = 4 * KT0 * chokes.real * share
        resistor = 4 * KT0 / self.ohms * abs(parallel) ** 2
        own = self.volts**2 + (self.amperes * abs(parallel)) ** 2
        return self.gain * share * vertical.real / self.output, 1 + (chokes_noise + resistor + own) / sky

    def cutoff(self) -> float:
        """Return the lowest frequency above the peak at which the response is 3 dB below that at 1 MHz."""
        grid = np.linspace(1e5, 0.999 * C / (4 * self.height), 200_001)
        size = abs(self.transfer(grid, self.inductance))
        wanted = abs(self.transfer(1e6, self.inductance)) * 10 ** (-3 / 20)
        peak = int(size.argmax())
        first = peak + int(np.argmax(size[peak:] <= wanted))
        return float(
            brentq(lambda f: abs(self.transfer(f, self.inductance)) - wanted, grid[first - 1], grid[first], xtol=1e-3)
        )

    def with_tolerance(self, hertz: float, tolerance: float) -> Any:
        """Return the transfer for inductances evenly over a tolerance."""
        return self.transfer(hertz, self.inductance * np.linspace(1 - tolerance, 1 + tolerance, 40_001))


def reception(design: Design, lines: list[Any], runs: dict[str, Any], receiver: dict[str, Any]) -> Any:
    """Return margins, levels and what the chokes cost, band by band."""
    if "front_end" not in design.data:
        return None
    element, limit = Element(design.data["front_end"]), si(design.data["front_end"]["greatest_voltage"])
    return {
        "wanted_margin_db": near(si(design.data["environment"]["margin"])),
        "choke_tolerance": near(element.tolerance),
        "cutoff_hz": near(element.cutoff()),
        "bands": [_reception_band(design, element, n, lines, runs, receiver) for n in range(len(design.bands))],
        "transmitters": [_voltage(element, one, limit) for one in design.data["transmitters"]],
    }


def _voltage(element: Element, one: dict[str, Any], limit: float) -> dict[str, Any]:
    hertz, metres = si(one["frequency"]), si(one["distance"])
    k = 2 * np.pi * hertz / C
    field = np.sqrt(90 * si(one["power"])) / metres * abs(1 - 1j / (k * metres) - 1 / (k * metres) ** 2)
    source = field * np.tan(k * element.height / 2) / k
    volts, bare = (source * abs(element.transfer(hertz, henry)) for henry in (element.inductance, 0.0))
    short = k * element.height < np.pi / 2
    return {
        "name": one["name"],
        "frequency_hz": near(hertz),
        "field_v_per_m": near(field),
        "voltage_v": near(volts) if short else None,
        "without_chokes_v": near(bare) if short else None,
        "limit_v": near(limit),
        "switch_off": bool(volts > limit) or not short,
    }


def _reception_band(
    design: Design, element: Element, number: int, lines: list[Any], runs: dict[str, Any], receiver: dict[str, Any]
) -> dict[str, Any]:
    name, hertz = list(design.bands.items())[number]
    sky, outside, after = design.skies[hertz], design.data["environment"], design.data["receiver"]
    fa, origin = external(outside, name, hertz)
    gain, factor = element.stage(hertz)
    through = power(-runs["bands"][number]["loss_db"][0])
    weights = planned_weights(design, hertz) * np.array(
        [[10 ** (-_line_loss(design, lines, number, delay) / 20) for delay in delays] for delays, _, _ in design.feeds]
    )
    rows = []
    for place, row in enumerate(weights):
        own = float((abs(row) ** 2).sum())
        noise = float((row.conj() @ sky.matrix @ row).real / sky.matrix[0, 0])
        # power gain from the elements' cables on, and the noise that each stage adds, both at its own output
        chain = [
            ("hub", power(-db((row != 0).sum()) - si(after["hub_loss"])), 1 - power(-si(after["hub_loss"]))),
            ("amplifier", power(si(after["amplifier_gain"])), None),
            ("receiver run", power(-receiver["bands"][number]["loss_db"][0]), None),
        ]
        added = {
            "hub": chain[0][2],
            "amplifier": (power(si(after["amplifier_noise_figure"])) - 1) * chain[1][1],
            "receiver run": 1 - chain[2][1],
        }
        onward = 1.0
        parts = {"receiver": power(si(after["noise_figure"])) - 1}
        for stage, its_gain, _ in reversed(chain):
            parts[stage] = added[stage] * onward
            onward *= its_gain
        parts["front ends"] = ((factor - 1) * gain * through + 1 - through) * own * onward
        received = power(fa) * noise * gain * through * onward
        signal = sky.signal(row, design.azimuths[place], design.elevation)
        field = si(outside["strong_signal"]) ** 2 / (160 * (2 * np.pi * hertz / C) ** 2) * 1e3
        at = field * signal * gain * through
        rows.append((received / sum(parts.values()), place, received, parts, at * chain[0][1], at * onward))
    margin, place, received, parts, _, _ = min(rows, key=lambda row: row[0])
    named = ("front ends", "hub", "amplifier", "receiver run", "receiver")
    return {
        "name": name,
        "external_db": near(fa),
        "external_source": origin,
        "element_gain_db": near(db(gain)),
        "element_noise_figure_db": near(db(factor)),
        "direction": design.data["directions"][place]["name"],
        "received_db": near(db(received)),
        "margin_db": near(db(margin)),
        "limit": max(parts, key=lambda part: parts[part]),
        "parts": [{"name": part, "level_db": near(db(parts[part]), 10)} for part in named],
        "amplifier_dbm": near(db(max(row[4] for row in rows)), 10),
        "receiver_dbm": near(db(max(row[5] for row in rows)), 10),
        **_chokes(design, element, hertz, weights),
    }


def external(table: dict[str, Any], name: str, hertz: float) -> tuple[float, str]:
    """Return Fa [dB] and where it is from."""
    if name in table.get("entered", {}):
        return si(table["entered"][name]), table["source"]
    c, d = MAN_MADE[table["noise"]]
    level = power(c - d * np.log10(hertz / 1e6))
    if hertz > si(table["critical_frequency"]):
        level = level + power(52 - 23 * np.log10(hertz / 1e6))
    return float(db(level)), f"ITU-R P.372, {table['noise']}"


def _line_loss(design: Design, lines: list[Any], number: int, delay: float) -> float:
    """Return the loss [dB] of the line that makes a delay, in a ladder of all pieces up to its tap."""
    line = design.line_of(delay)
    if line is None:
        return 0.0
    passed = range(line + 1) if design.hub == "ladder" else [line]
    return sum(lines[n]["bands"][number]["loss_db"][0] for n in passed)


def _chokes(design: Design, element: Element, hertz: float, weights: Any) -> dict[str, Any]:
    """Return what the tolerance of the chokes does: mean powers of errors that are independent by element."""
    rdf, back = choke_losses(design, element.with_tolerance(hertz, element.tolerance), hertz, weights)
    low, high = 0.0, 0.99
    while high - low > 1e-9:
        middle = (low + high) / 2
        lost, worse = choke_losses(design, element.with_tolerance(hertz, middle), hertz, weights)
        kept = np.all(lost <= 0.1) and np.all((worse[0] - worse[1] <= 1.0) | (worse[1] >= 20.0))
        low, high = (middle, high) if kept else (low, middle)
    angles = np.unwrap(np.angle(element.with_tolerance(hertz, element.tolerance)))
    return {
        "choke_phase_spread_deg": near(float(np.degrees(np.ptp(angles)))),
        "choke_rdf_lost_db": near(max(rdf), 10),
        "choke_front_to_back_lost_db": near(max(back[0] - back[1]), 10),
        "choke_tolerance_needed": near(low),
    }


def choke_losses(design: Design, moved: Any, hertz: float, weights: Any) -> tuple[Any, Any]:
    """Return RDF lost, and front-to-back before and after [dB], direction by direction."""
    share = np.full(moved.size, 1.0)
    share[[0, -1]] = 0.5
    mean = (moved * share).sum() / share.sum()
    stray = float((abs(moved - mean) ** 2 * share).sum() / share.sum())
    sky, rdf, back = design.skies[hertz], [], []
    for azimuth, row in zip(design.azimuths, weights, strict=True):
        own = float((abs(row) ** 2).sum())
        ahead, behind = (sky.signal(row, a, design.elevation) for a in (azimuth, azimuth + np.pi))
        noise = float((row.conj() @ sky.matrix @ row).real / sky.matrix[0, 0])
        after = [abs(mean) ** 2 * x + stray * own for x in (ahead, behind, noise)]
        rdf.append(db(ahead / noise) - db(after[0] / after[2]))
        back.append((min(db(ahead / behind), 60.0), min(db(after[0] / after[1]), 60.0)))
    return np.array(rdf), np.array(back).T


def feed(design: Design, runs: dict[str, Any], receiver: dict[str, Any]) -> Any:
    """Return the voltage at the farthest front end over a copper pair by its gauge (ASTM B258), or the coax."""
    if "feed" not in design.data:
        return None
    table, count = design.data["feed"], len(design.stakes)
    current, gauge = si(table["current"]), table["pair_gauge"]
    parts = [("receiver run", receiver["length_m"][0], count), ("element run", runs["length_m"][0], 1)]
    drops = [
        {
            "run": name,
            "length_m": near(metres),
            "loop_resistance_ohm": near(_pair(gauge) * metres),
            "current_a": near(current * fed),
            "drop_v": near(current * fed * _pair(gauge) * metres),
        }
        for name, metres, fed in parts
    ]
    supply, least = si(table["supply"]), si(table["least_voltage"])
    lost = {n: sum(current * fed * _pair(n) * metres for _, metres, fed in parts) for n in range(41)}
    return {
        "pair_gauge": gauge,
        "supply_v": near(supply),
        "least_voltage_v": near(least),
        "drops": drops,
        "voltage_v": near(supply - lost[gauge]),
        "supply_needed_v": near(least + lost[gauge]),
        "gauge_needed": max(n for n in lost if supply - lost[n] >= least),
    }


def _pair(gauge: int) -> float:
    """Return the resistance of a pair per length; the steps of gauge are 39 from 0.46 in at 0000 to 0.005 in at 36."""
    diameter = 0.46 * FOOT / 12 * (0.005 / 0.46) ** ((gauge + 3) / 39)
    return 2 / (CONDUCTIVITY["copper"] * np.pi * (diameter / 2) ** 2)


def reels(design: Design, lines: list[Any], runs: dict[str, Any], receiver: dict[str, Any], found: Any) -> Any:
    """Return the cutting plans: which piece is on which reel is taken from the plan, when no other opens less."""
    pieces: dict[str, dict[str, float]] = {}
    parts = [(x["cable"], f"line {x['label']}", x["count"], x["first_cut_m"][0]) for x in lines]
    parts.append((runs["cable"], "element run", runs["count"], runs["first_cut_m"][0]))
    parts.append((receiver["cable"], "receiver run", 1, receiver["length_m"][0]))
    for cable, label_, count, metres in parts:
        for n in range(1, count + 1):
            pieces.setdefault(cable, {})[label_ if count == 1 else f"{label_}, {n}"] = metres
    stock = {one["label"]: one for one in design.data.get("stock", [])}
    cables = [cable for cable in pieces if cable in {one["cable"] for one in stock.values()}]
    return [
        _reel_plan(design, cable, pieces[cable], stock, theirs) for cable, theirs in zip(cables, found, strict=True)
    ]


def _reel_plan(design: Design, cable: str, pieces: dict[str, float], stock: Any, theirs: Any) -> dict[str, Any]:
    kerf = si(design.data["cutting"].get("kerf", "5 mm"))
    own = {name: si(one["length"]) for name, one in stock.items() if one["cable"] == cable}
    if max(pieces.values()) > max(own.values()):
        # the sentence is the workbook's; that there is one is what counts
        return {**theirs, "cable": cable, "reels": [], "opened_m": 0.0, "waste_m": 0.0, "proven": False, "gap": 0.0}
    runs = [name for name in pieces if name.startswith("element run")]
    blocks = [[name] for name in pieces if name not in runs] + [runs]
    held = [one["reel"] for one in theirs["reels"]]
    if sorted(cut["piece"] for one in theirs["reels"] for cut in one["cuts"]) != sorted(pieces):
        raise ValueError("the plan does not cut every piece once")
    opened = sum(own[name] for name in held)
    fits = [
        sum(own[name] for name, _ in chosen)
        for n in range(1, len(own) + 1)
        for chosen in itertools.combinations(own.items(), n)
        if _fits([sum(pieces[x] + kerf for x in block) for block in blocks], [metres + kerf for _, metres in chosen])
    ]
    if opened > min(fits) + 1e-9:
        raise ValueError(f"{min(fits)} m of reels would do")
    return {
        "cable": cable,
        "problem": None,
        "reels": [_reel(pieces, own, stock, one, kerf) for one in theirs["reels"]],
        "opened_m": near(opened),
        "waste_m": near(opened - sum(pieces.values()), within=SCANNED),
        "proven": True,
        "gap": 0.0,
        "together": ["element runs"],
    }


def _fits(blocks: list[float], room: list[float]) -> bool:
    """Return whether blocks fit into reels, by trying everything."""
    if not blocks:
        return True
    first, *others = sorted(blocks, reverse=True)
    return any(
        _fits(others, [left - first * (n == place) for n, left in enumerate(room)])
        for place, space in enumerate(room)
        if space >= first
    )


def _reel(pieces: dict[str, float], own: dict[str, float], stock: Any, theirs: Any, kerf: float) -> dict[str, Any]:
    names = [cut["piece"] for cut in theirs["cuts"]]
    ends = np.cumsum([pieces[name] + kerf for name in names]) - kerf
    factor = stock[theirs["reel"]].get("velocity_factor")
    return {
        "reel": theirs["reel"],
        "length_m": near(own[theirs["reel"]]),
        "velocity_factor": None if factor is None else near(factor),
        "cuts": [
            {"piece": name, "length_m": near(pieces[name], within=SCANNED), "end_m": near(end, within=SCANNED)}
            for name, end in zip(names, ends, strict=True)
        ],
        "left_m": near(own[theirs["reel"]] - ends[-1] - kerf, own[theirs["reel"]], SCANNED),
    }


def expected(path: Path, folder: Path, plan: Any) -> dict[str, Any]:
    """Return the plan as this script works it out; numbers come with how far off they may be."""
    design = Design(path, folder, plan)
    if "source_impedance" in design.data["hub"]:
        raise ValueError("this script knows no ends of lines")
    if "match" in design.data:
        raise ValueError("this script knows no match")
    lines = [delay_line(design, number) for number in range(len(design.groups))]
    runs, receiver = element_runs(design), receiver_run(design)
    reach, compass = np.abs(design.stakes).max(), declination(design)
    hub = [si(place) for place in design.data["hub"].get("position", ["0 m", "0 m"])]
    return {
        "format": 1,
        "name": design.data["name"],
        "design_sha256": design.sha256,
        "rule": design.rule,
        "ground": {key: near(value) if isinstance(value, float) else value for key, value in design.ground.items()},
        "declination_deg": None if compass is None else near(compass, 360),
        "bands": [{"name": name, "frequency_hz": near(hertz)} for name, hertz in design.bands.items()],
        "elements": [
            {"number": n, "east_m": near(east, reach), "north_m": near(north, reach)}
            for n, (east, north) in enumerate(design.stakes, 1)
        ],
        "directions": directions(design),
        "shapes": shapes(design),
        "delay_lines": lines,
        "element_runs": runs,
        "receiver_run": receiver,
        "totals": totals(design, lines, runs, receiver),
        "reception": reception(design, lines, runs, receiver),
        "feed": feed(design, runs, receiver),
        "reels": reels(design, lines, runs, receiver, plan["reels"]),
        "stakes": stakes(design),
        "tapes": tapes(design),
        "switch_table": switch_table(design),
        "hub_options": hub_options(design),
        "merges": merges(design),
        "slacks": slacks(design),
        "tolerances": tolerances(design),
        "terminations": None,
        "match": None,
        # repeated from the design for the sheets
        "cut_band": design.phasing["cut_band"],
        "elevation_deg": near(np.degrees(design.elevation), 90),
        "accept_deg": near(design.accept),
        "hub": design.hub,
        "hub_east_m": near(hub[0], reach),
        "hub_north_m": near(hub[1], reach),
        "trim_m": near(design.trim),
        "strip_m": near(design.end("delay_line")[1] / 2),
        "connector_delay_s": near(design.end("delay_line")[0] / 2),
        "units": design.data.get("units", "both"),
    }


# --- comparing --------------------------------------------------------------------------------------------

NO_NUMBERS = {"workbook_version", "warnings", "accept_reason"}


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
    """Return the plan with totals by name of cable and slacks by line: nothing is said about the order of either."""
    places = [one["name"] for one in plan["directions"]]
    return {
        **plan,
        "totals": sorted(plan["totals"], key=lambda total: total["cable"]),
        "slacks": sorted(plan["slacks"], key=lambda one: (places.index(one["direction"]), one["line"])),
    }


def compare(plan: dict[str, Any], path: Path, folder: Path) -> list[str]:
    """Return a sentence for everything that is wrong with a plan."""
    theirs = ordered(plan)
    found = differences(expected(path, folder, theirs), theirs)
    design = Design(path, folder, theirs)
    return found + (search_faults(design, path, folder) if design.rule == "fewest-delays" else [])


def main(plan: str, design: str, folder: str) -> int:
    """Compare, print, and return the exit status."""
    found = compare(json.loads(Path(plan).read_text(encoding="utf-8")), Path(design), Path(folder))
    print("\n".join(found) or f"{plan}: every number agrees")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
