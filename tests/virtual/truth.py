"""The truth of a virtual build: reels, pieces, chokes, buffers, stakes and instruments, each with its own errors.

Cables are lines of scikit-rf from resistance, inductance, conductance and capacitance per metre by flat layers of
metal; the array is a plain sum over its elements. Nothing of the workbook is imported here, so that it can be wrong.
"""

from dataclasses import dataclass

import numpy as np
import skrf

C = 299_792_458.0
MU0 = 4e-7 * np.pi
EPS0 = 1 / (MU0 * C**2)
COPPER, STEEL, FOIL = 58e6, 5.2e6, 35e6
CENTRE, OUTER = 1.024e-3, 4.57e-3
"""Diameters of the cable [m]."""
SWEEP = np.linspace(0.5e6, 10e6, 191)
"""Frequencies that the analyser shows [Hz]."""
KINDS = (
    "wrong reel",
    "long line",
    "swapped runs",
    "reversed channel",
    "dead channel",
    "bad joint",
    "moved stake",
    "wrong velocity factor",
)
"""The faults that are planted, one a build."""


@dataclass
class Reel:
    """A reel: foam (by its velocity factor far up), copper on the steel [m], and drift of the foam along it [1/m]."""

    velocity: float
    cladding: float
    drift: float
    used: float = 0.0


@dataclass
class Piece:
    """A piece of cable with its connectors [s] and a joint [ohm]; `at` is where on the reel it came from [m]."""

    reel: Reel
    at: float
    length: float
    connectors: tuple[float, float] = (0.0, 0.0)
    joint: float = 0.0


def layered(hertz, thickness, below):
    """Surface impedance [ohm] of a layer of copper on a metal of some impedance, flat."""
    omega = 2 * np.pi * hertz
    own = (1 + 1j) * np.sqrt(omega * MU0 / (2 * COPPER))
    turn = np.tanh((1 + 1j) * np.sqrt(omega * MU0 * COPPER / 2) * thickness)
    return own * (below + own * turn) / (own + below * turn)


def per_metre(reel, at, hertz):
    """R, L, G and C per metre of the reel at a place."""
    omega = 2 * np.pi * hertz
    permittivity = 1 / (reel.velocity * (1 + reel.drift * at)) ** 2
    steel = (1 + 1j) * np.sqrt(omega * MU0 * 100 / (2 * STEEL))
    centre = layered(hertz, reel.cladding, steel) / (np.pi * CENTRE)
    depth = (1 + 1j) * np.sqrt(omega * MU0 * FOIL / 2)
    shield = depth / FOIL / np.tanh(depth * 50e-6) / (np.pi * OUTER)
    metal = centre + shield
    ratio = np.log(OUTER / CENTRE)
    farads = 2 * np.pi * EPS0 * permittivity / ratio * np.ones_like(hertz)
    henry = MU0 / (2 * np.pi) * ratio + metal.imag / omega
    return metal.real, henry, omega * farads * 3e-4, farads


def network(piece, hertz, port=75.0):
    """A finished piece as a two-port of scikit-rf."""
    frequency = skrf.Frequency.from_f(hertz, unit="Hz")
    r, henry, g, farads = per_metre(piece.reel, piece.at, hertz)
    cable = skrf.media.DistributedCircuit(frequency, z0_port=port, R=r, L=henry, G=g, C=farads)
    air = skrf.media.DefinedGammaZ0(frequency, z0_port=port, z0=75.0, gamma=2j * np.pi * hertz / C)
    near, far = (air.line(delay * C, "m") for delay in piece.connectors)
    whole = near ** cable.line(piece.length, "m") ** far
    if piece.joint:
        whole = whole ** skrf.media.DefinedGammaZ0(frequency, z0=port).resistor(piece.joint)
    return whole


@dataclass
class Array:
    """What stands in the field: places [m], front ends, and the pieces by name, and which element is at which port."""

    places: np.ndarray
    chokes: np.ndarray
    buffers: np.ndarray
    pieces: dict
    order: list


class Truth:
    """One world by its seed, with at most one planted fault."""

    def __init__(self, seed, fault=None):
        """Draw everything that a builder cannot know."""
        self.rng = np.random.default_rng(seed)
        self.fault = self.planted = fault
        self.reel = Reel(self.rng.uniform(0.835, 0.862), self.rng.uniform(9e-6, 30e-6), self.rng.uniform(-2e-5, 2e-5))
        self.other = Reel(
            self.reel.velocity * (1 + self.rng.choice([-1, 1]) * self.rng.uniform(0.015, 0.04)),
            self.rng.uniform(9e-6, 30e-6),
            0.0,
        )
        self.choke_henry = 100e-6 * self.rng.uniform(0.8, 1.2, 24)
        self.buffer_gain = 10 ** (self.rng.normal(0, 0.5, 12) / 20) * np.exp(
            1j * np.radians(self.rng.normal(0, 1.5, 12))
        )
        self.clock = self.rng.normal(0, 1e-5)
        self.directivity = 2e-3 * (self.rng.normal() + 1j * self.rng.normal())
        self.culprit = int(self.rng.integers(0, 8))
        self.second = int((self.culprit + self.rng.integers(1, 8)) % 8)
        lines = ("A", "B1", "B2")
        self.bad_line = lines[int(self.rng.integers(0, 3))]
        self.bad_piece = (*lines, *(f"run {number}" for number in range(1, 9)))[int(self.rng.integers(0, 11))]
        self.elevation_error = self.rng.normal(0, 2)
        self.known, self.taken = {}, 0.0

    # --- the bench ----------------------------------------------------------------------------------------

    def cut(self, metres, name):
        """Cut a piece and fit its connectors, each takes 14 mm of cable; once it may be from the wrong reel."""
        wrong = self.fault == "wrong reel" and name == self.bad_line and not self.other.used
        reel = self.other if wrong else self.reel
        length = metres + self.rng.normal(0, 3e-3)
        piece = Piece(reel, reel.used + length / 2, length - 0.028, tuple(self.rng.normal(0.11e-9, 0.015e-9, 2)))
        reel.used += length
        self.taken += length
        return piece

    def type_in(self, velocity):
        """What stands in the design after a velocity factor was typed."""
        if self.fault == "wrong velocity factor":
            velocity += self.rng.choice([-1, 1]) * self.rng.uniform(0.015, 0.05)
        return velocity

    def shorten(self, piece, metres):
        """Cut a length off a piece, and fit that connector again."""
        piece.length -= metres + self.rng.normal(0, 2e-3)

    def sweep(self, piece):
        """What the analyser shows into a piece with its far end open: frequencies [Hz], and S11 at 50 ohm."""
        hertz = SWEEP * (1 + self.clock)
        seen = network(piece, hertz, 50.0)
        s = seen.s[:, 0, 0] + seen.s[:, 1, 0] * seen.s[:, 0, 1] / (1 - seen.s[:, 1, 1])
        noise = 1e-3 * (self.rng.normal(size=s.shape) + 1j * self.rng.normal(size=s.shape))
        return SWEEP, s + self.directivity + noise

    def loop_resistance(self, piece):
        """What an ohmmeter shows with the far end shorted [ohm]."""
        inner = np.pi * (CENTRE / 2 - piece.reel.cladding) ** 2
        skin = np.pi * (CENTRE / 2) ** 2 - inner
        ohms = piece.length * (1 / (COPPER * skin + STEEL * inner) + 1 / (FOIL * np.pi * OUTER * 50e-6))
        return (ohms + piece.joint) * (1 + self.rng.normal(0, 0.005)) + self.rng.normal(0, 0.03)

    def choke(self, number):
        """What an inductance meter shows of a choke [H]."""
        return self.choke_henry[number] * (1 + self.rng.normal(0, 0.004))

    def buffer(self, number):
        """Gain [dB] and phase [deg] of a buffer beside a reference."""
        gain = self.buffer_gain[number]
        return (
            20 * np.log10(abs(gain)) + self.rng.normal(0, 0.03),
            np.degrees(np.angle(gain)) + self.rng.normal(0, 0.15),
        )

    # --- the field ----------------------------------------------------------------------------------------

    def install(self, places, chokes, buffers, pieces):
        """Set the stakes by tape and connect everything; faults of finished pieces and of the field come in here."""
        if self.fault == "long line":
            pieces[self.bad_line].length *= 1.01
        elif self.fault == "bad joint":
            pieces[self.bad_piece].joint = 10 ** self.rng.uniform(0.5, 1.6)
        stakes = np.array(places) + self.rng.normal(0, 0.025, (len(places), 2))
        array = Array(stakes, np.array(chokes), np.array(buffers), pieces, list(range(len(places))))
        if self.fault == "moved stake":
            turn = self.rng.uniform(0, 2 * np.pi)
            array.places[self.culprit] += 0.6 * np.array([np.cos(turn), np.sin(turn)])
        elif self.fault == "swapped runs":
            one, other = self.culprit, self.second
            array.order[one], array.order[other] = array.order[other], array.order[one]
        return array

    def set_again(self, array, number, planned):
        """Set a stake again by tape."""
        array.places[number] = np.array((planned.east_m, planned.north_m)) + self.rng.normal(0, 0.025, 2)

    def reconnect(self, array, kind, where):
        """Do to channels what the builder thinks is right; it helps only where the fault is there."""
        if kind == "swapped runs":
            one, other = where
            array.order[one], array.order[other] = array.order[other], array.order[one]
        elif self.fault == kind and where[0] == self.culprit:
            self.fault = None
        elif kind == "reversed channel":
            self.buffer_gain[array.buffers[where[0]]] *= -1

    def tape(self, array, one, other=None):
        """Distance between two stakes, or from the centre to one [m]."""
        start = np.zeros(2) if other is None else array.places[other]
        return float(np.hypot(*(array.places[one] - start))) + self.rng.normal(0, 0.02)

    def front_end(self, array, hertz):
        """Voltage transfer of every vertical through its chokes and buffer."""
        omega = 2 * np.pi * hertz
        farads = 2 * np.pi * EPS0 * 7.0 / np.log(1.15 * 7.0 / 0.025)
        vertical = 10 * (omega / C * 7.0) ** 2 + 1 / (1j * omega * farads)
        henry = self.choke_henry[array.chokes].sum(axis=-1)
        coil = omega * henry * (1 / 60 + 1j)
        choke = coil / (1 + 2e-12j * omega * coil)
        buffer = 1 / (1e-6 + 15e-12j * omega)
        gain = self.buffer_gain[array.buffers].copy()
        if self.fault == "dead channel":
            gain[self.culprit] = 0
        elif self.fault == "reversed channel":
            gain[self.culprit] *= -1
        return gain * buffer / (vertical + choke + buffer)

    def transfer(self, piece, hertz):
        """S21 of a finished piece between matched ends, computed once."""
        key = (piece.at, piece.length, piece.joint, hertz)
        if key not in self.known:
            self.known[key] = network(piece, np.array([hertz])).s[0, 1, 0]
        return self.known[key]

    def weights(self, array, feeds, hertz):
        """Weight of every element: `feeds` has for every port the piece of delay line (or None) and the polarity."""
        gains = self.front_end(array, hertz)
        weights = np.zeros(len(gains), dtype=complex)
        for port, (line, polarity) in enumerate(feeds):
            element = array.order[port]
            through = self.transfer(array.pieces[f"run {element + 1}"], hertz)
            if line is not None:
                through *= self.transfer(array.pieces[line], hertz)
            weights[element] = gains[element] * through * polarity
        return weights

    def level(self, array, feeds, hertz, azimuth, without=None):
        """Level of a steady signal in the receiver [dB], with one element disconnected or none."""
        weights = self.weights(array, feeds, hertz)
        if without is not None:
            weights[without] = 0
        elevation = np.radians(22 + self.elevation_error)
        field_sum = abs(weights @ steering(array.places, hertz, np.radians(azimuth), elevation))
        return 20 * np.log10(field_sum + 1e-6) + self.rng.normal(0, 0.35)

    def right(self, kind, where):
        """Whether a suspicion is the fault that was planted."""
        places = {
            "wrong reel": self.bad_line,
            "long line": self.bad_line,
            "bad joint": self.bad_piece,
            "moved stake": self.culprit,
            "swapped runs": tuple(sorted((self.culprit, self.second))),
            "wrong velocity factor": where,
        }
        return kind == self.planted and (kind is None or where == places.get(kind, (self.culprit,)))


def steering(places, hertz, azimuth, elevation):
    """Phase factors of a wave at all places; azimuth clockwise from north, (elements, ...)."""
    east, north = np.sin(azimuth) * np.cos(elevation), np.cos(azimuth) * np.cos(elevation)
    k = 2 * np.pi * hertz / C
    return np.exp(1j * k * (np.multiply.outer(places[:, 0], east) + np.multiply.outer(places[:, 1], north)))


def element_power(hertz, elevation, relative=13.0, siemens=5e-3):
    """Power of a short vertical over real ground, by Fresnel's coefficient for vertical polarization."""
    permittivity = relative - 1j * siemens / (2 * np.pi * hertz * EPS0)
    root = np.sqrt(permittivity - np.cos(elevation) ** 2)
    reflection = (permittivity * np.sin(elevation) - root) / (permittivity * np.sin(elevation) + root)
    return np.abs(np.cos(elevation) * (1 + reflection) / 2) ** 2


_EL = np.radians(np.arange(1, 90, 2.0))
_AZ = np.radians(np.arange(0, 360, 3.0))


def figures(places, weights, hertz, azimuths, elevation=22.0):
    """RDF and front-to-back [dB] of every direction: weights (directions, elements), by a sum over the sky."""
    el, az = np.meshgrid(_EL, _AZ, indexing="ij")
    power = np.abs(weights @ steering(places, hertz, az.ravel(), el.ravel())) ** 2
    share = (element_power(hertz, el) * np.cos(el) * np.radians(2) * np.radians(3) / (4 * np.pi)).ravel()
    mean = power @ share
    up = np.radians(elevation)
    rows = []
    for row, azimuth, average in zip(weights, np.radians(azimuths), mean, strict=True):
        front, back = (abs(row @ steering(places, hertz, azimuth + turn, up)) ** 2 for turn in (0, np.pi))
        rows.append((10 * np.log10(front * element_power(hertz, up) / average), 10 * np.log10(front / back)))
    return np.array(rows)
