"""A way to match a source to a load, and what it does on any frequency.

All figures hold between the source and the load as they are. With complex ends they rest on power waves: no reflection
means that each side sees the conjugate of its own impedance, and the insertion loss compares the power in the load
with all the power that the source can give. Between resistances these are the usual figures.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

import numpy as np
from scipy.optimize import brentq

from workbook.checks import magnitude, positive
from workbook.errors import InputError
from workbook.formulas import twoports
from workbook.formulas.twoports import Chain
from workbook.line.cable import Cable
from workbook.line.lengths import check_frequency
from workbook.units import NEPER_IN_DB, Quantity, scalar, with_unit

if TYPE_CHECKING:
    import skrf

SEARCHED = (1e4, 1e9)
"""Frequencies [Hz] between which a usable band is looked for."""

LEAST_OHMS, MOST_OHMS = 1e-3, 1e6
"""Least resistance and greatest impedance [ohm] of an end; beyond these nothing can be built."""

LEAST_LIMIT = 1e-6
"""Least limit of loss [dB], and of SWR above 1."""

MATCHED = 1.005
"""SWR below which ends are said to be matched: it is written as 1.00."""

MOST_DECIBEL = 100.0
"""Loss of a section [dB] above which it is no way to anything."""

SAME = 1e-9
"""Part by which two ends may differ and still count as equal."""


class Part(Protocol):
    """What a match is built of."""

    def chain(self, hertz: Any) -> Chain:
        """Return the two-port at plain frequencies [Hz]."""

    def lag(self, hertz: Any) -> Any:
        """Return by how much the part alone delays a wave [rad]; 0 for what is not a line."""

    def components(self) -> "tuple[Component, ...]":
        """Return what has to be bought or wound; nothing for a line."""


class Component(NamedTuple):
    """One component: what it is, and its value as a quantity or a plain number of turns."""

    what: str
    value: Any


@dataclass(frozen=True)
class Section:
    """A length of line in a match; plain numbers inside, each with its unit in its name.

    Without a cable it is lossless, its lag goes with frequency, and it has no length in metres. `count` lines of the
    same cable and length lie in parallel.
    """

    ohms: complex
    radians: float
    hertz: float
    cable: Cable | None = None
    count: int = 1
    metres: float | None = None

    @property
    def impedance(self) -> Any:
        """Characteristic impedance [ohm] on the design frequency, of all lines in parallel; complex with a cable."""
        return with_unit(self.ohms if self.ohms.imag else self.ohms.real, "ohm")

    @property
    def electrical_length(self) -> Any:
        """Electrical length on the design frequency [degree]."""
        return Quantity(np.degrees(self.radians).item(), "degree")

    @property
    def length(self) -> Any:
        """Length at the cable's true velocity factor [m], None without a cable."""
        return None if self.metres is None else Quantity(self.metres, "m")

    @property
    def check_frequency(self) -> Any:
        """Frequency at which one cut line is checked, far end open; None without a cable, or where it has none."""
        if self.cable is None or not self.metres:
            return None
        try:
            return check_frequency(self.cable, self.length)
        except InputError:  # so long and lossy that its reactance never vanishes
            return None

    def chain(self, hertz: Any) -> Chain:
        """Return the two-port at plain frequencies [Hz]."""
        if self.cable is None:
            return twoports.line(1j * self.lag(hertz), self.ohms)
        gamma, impedance = self.cable.constants(hertz)
        return twoports.line(gamma * self.metres, impedance / self.count)

    def lag(self, hertz: Any) -> Any:
        """Return the electrical length at plain frequencies [rad]."""
        if self.cable is None:
            return self.radians * (hertz / self.hertz)
        return self.cable.constants(hertz)[0].imag * self.metres

    def components(self) -> tuple[Component, ...]:
        """Return nothing: a line is cut, not bought as a component."""
        return ()


def section(made_of: Any, radians: float, hertz: float, count: int = 1) -> Section:
    """Return a section of so much lag at a frequency, of a `Cable` or of a plain impedance [ohm] without loss."""
    if not isinstance(made_of, Cable):
        return Section(complex(made_of) / count, float(radians), hertz, count=count)
    gamma, impedance = made_of.constants(hertz)
    decibel = float(gamma.real / gamma.imag * radians) * NEPER_IN_DB
    if decibel > MOST_DECIBEL:
        raise InputError(
            (
                f"{made_of.name} loses {decibel:.0f} dB in {np.degrees(radians):.1f} degrees at "
                f"{hertz / 1000000.0:.4g} MHz"
            ),
            where="cable",
            remedy="choose a cable with less loss",
        )
    return Section(complex(impedance) / count, float(radians), hertz, made_of, count, float(radians / gamma.imag))


class Response(NamedTuple):
    """What a match does over frequency: SWR at both ends, insertion loss [dB], phase shift [degree]."""

    swr_in: Any
    swr_out: Any
    insertion_loss: Any
    phase_shift: Any


@dataclass(frozen=True)
class Match:
    """One way from a source to a load: its name, the parts from the source on, and why it stands where it stands.

    `source_ohms` and `load_ohms` are the two ends [ohm]; `hertz` is the design frequency [Hz], None for what has none;
    `remedy` says what would bring it within the limits that it was made for, empty where nothing is known to.
    """

    name: str
    reason: str
    source_ohms: Any
    load_ohms: Any
    parts: tuple[Part, ...]
    hertz: float | None = None
    remedy: str = ""

    @property
    def source(self) -> Any:
        """Impedance of the source [ohm]."""
        return with_unit(self.source_ohms, "ohm")

    @property
    def load(self) -> Any:
        """Impedance of the load [ohm]."""
        return with_unit(self.load_ohms, "ohm")

    @property
    def sections(self) -> tuple[Section, ...]:
        """The lengths of line, from the source on."""
        return tuple(part for part in self.parts if isinstance(part, Section))

    @property
    def components(self) -> tuple[Component, ...]:
        """Resistors, windings and inductances, from the source on."""
        return tuple(component for part in self.parts for component in part.components())

    def scattering(self, hertz: Any, ports: tuple[Any, Any] | None = None) -> tuple[Any, Any, Any, Any]:
        """Return S11, S12, S21 and S22 for power waves at plain frequencies [Hz], between source and load or ports."""
        chain = twoports.cascade(part.chain(hertz) for part in self.parts)
        found = twoports.scattering(chain, *(ports or (self.source_ohms, self.load_ohms)))
        # what is the same on every frequency is still one value for each
        shape = np.broadcast_shapes(np.shape(found[0]), np.shape(hertz))
        back_in, returned, passed, back_out = (np.broadcast_to(s, shape)[()] for s in found)
        return back_in, returned, passed, back_out

    def plain(self, hertz: Any) -> Response:
        """Return the response as plain numbers at plain frequencies [Hz]: ratio, ratio, dB, degrees."""
        back_in, _, passed, back_out = self.scattering(hertz)
        # the lag of the lines is followed, and what the joints add is taken as less than half a turn
        lag = sum((part.lag(hertz) for part in self.parts), 0.0)
        added = np.angle(passed * np.exp(1j * lag)) if self.sections else np.angle(passed)
        # rounding may leave a hair more than everything
        loss = np.maximum(-20 * np.log10(np.abs(passed)), 0.0)
        return Response(twoports.swr(back_in), twoports.swr(back_out), loss, np.degrees(added - lag))

    def response(self, frequency: Any) -> Response:
        """Return all four figures at once: SWR at both ends as plain numbers, loss [dB] and phase shift [degree]."""
        swr_in, swr_out, loss, phase = self.plain(positive(frequency, "Hz", "frequency"))
        return Response(scalar(swr_in), scalar(swr_out), with_unit(loss, "dB"), with_unit(phase, "degree"))

    def swr_in(self, frequency: Any) -> Any:
        """Return the SWR that the source sees, a plain number."""
        return self.response(frequency).swr_in

    def swr_out(self, frequency: Any) -> Any:
        """Return the SWR that the load sees looking back, a plain number."""
        return self.response(frequency).swr_out

    def insertion_loss(self, frequency: Any) -> Any:
        """Return -20 log |S21| between source and load [dB], S21 for power waves."""
        return self.response(frequency).insertion_loss

    def phase_shift(self, frequency: Any) -> Any:
        """Return the angle of S21 [degree], negative = later, not wrapped along the lines."""
        return self.response(frequency).phase_shift

    def network(self, frequency: Any) -> "skrf.Network":
        """Return the match as a scikit-rf network, port 1 the source's, each port with its own impedance.

        Parameters
        ----------
        frequency
            One frequency or a rising row of them.
        """
        return self.between((self.source_ohms, self.load_ohms), frequency)

    def between(self, ports: tuple[Any, Any], frequency: Any) -> "skrf.Network":
        """Return the match as a scikit-rf network between two port impedances [ohm]."""
        import skrf

        hertz = np.atleast_1d(positive(frequency, "Hz", "frequency"))
        if hertz.ndim > 1 or not hertz.size or np.any(np.diff(hertz) <= 0):
            raise InputError(
                "a network takes a single row of rising frequencies", where="frequency", remedy="sort them"
            )
        s = np.stack(self.scattering(hertz, ports), axis=-1).reshape(-1, 2, 2)
        grid = skrf.Frequency.from_f(hertz, unit="Hz")
        impedances = np.tile(np.array(ports, complex), (hertz.size, 1))
        return skrf.Network(frequency=grid, s=s, z0=impedances, s_def="power", name=self.name)

    def excess(self, hertz: Any, most_swr: float, most_db: float) -> Any:
        """Return by how much the limits are used, 1 just meeting them; the worst of SWR at both ends and loss."""
        swr_in, swr_out, loss, _ = self.plain(hertz)
        return np.maximum((np.maximum(swr_in, swr_out) - 1) / (most_swr - 1), loss / most_db)

    def usable_band(self, most_swr: float, most_loss: Any) -> tuple[Any, Any] | None:
        """Return the edges of the band around the design frequency on which SWR and loss stay within limits.

        A match without a design frequency is taken around the frequency where it does best. An edge at 10 kHz or
        1 GHz means that the band goes on: nothing is looked for beyond.

        Parameters
        ----------
        most_swr
            Greatest SWR at either end, a plain number above 1.
        most_loss
            Greatest insertion loss.

        Returns
        -------
        (low, high) [Hz], None when not even the design frequency is within the limits
        """
        limits = limit_pair(most_swr, most_loss)
        grid = np.geomspace(*SEARCHED, 1200)
        found = self.excess(grid, *limits)
        if self.hertz is not None:
            # put in afterwards: the grid stays the same for all, and a cable answers it from memory
            place = np.searchsorted(grid, self.hertz)
            found = np.insert(found, place, self.excess(self.hertz, *limits))
            grid = np.insert(grid, place, self.hertz)
        inside = found <= 1 + 1e-9
        start = int(np.argmin(found) if self.hertz is None else np.searchsorted(grid, self.hertz))
        if not inside[start]:
            return None
        below, above = np.flatnonzero(~inside[:start]), np.flatnonzero(~inside[start:])
        low = grid[0] if not below.size else self._edge(grid[below[-1]], grid[below[-1] + 1], limits)
        high = grid[-1] if not above.size else self._edge(grid[start + above[0] - 1], grid[start + above[0]], limits)
        return with_unit(float(low), "Hz"), with_unit(float(high), "Hz")

    def _edge(self, one: float, other: float, limits: tuple[float, float]) -> float:
        def over(hertz: float) -> float:
            return float(self.excess(hertz, *limits)) - 1

        # exactly at its limit on the inner end: that end is the edge
        if over(one) * over(other) >= 0:
            return one if abs(over(one)) < abs(over(other)) else other
        return brentq(over, one, other, rtol=1e-12)


def limit_pair(most_swr: Any, most_loss: Any) -> tuple[float, float]:
    """Check the limits of SWR and loss, and return them as plain numbers [1, dB]."""
    decibel = single(positive(most_loss, "dB", "most_loss"), "most_loss")
    plain = isinstance(most_swr, (int, float, np.integer, np.floating)) and not isinstance(most_swr, bool)
    if not plain or not 1 + LEAST_LIMIT <= most_swr < np.inf:
        raise InputError(
            f"{most_swr!r:.40} is no limit", where="most_swr", remedy="write a plain number above 1, such as 1.2"
        )
    if decibel < LEAST_LIMIT:
        raise InputError(
            f"{decibel:g} dB is less than anyone can measure", where="most_loss", remedy="write a limit such as 1 dB"
        )
    return float(most_swr), decibel


def single(value: Any, name: str) -> Any:
    """Return one plain number; a match is made for one source, one load and one frequency."""
    if np.ndim(value):
        raise InputError(
            f"one value is wanted for a match, not {np.size(value)}", where=name, remedy="give them one by one"
        )
    return scalar(value)


def impedances(value: Any, name: str) -> Any:
    """Return impedances of ends [ohm], one or an array, real where none has reactance; only such as can be built."""
    ohms = magnitude(value, "ohm", name)
    possible = np.ravel((np.real(ohms) >= LEAST_OHMS) & (np.abs(ohms) <= MOST_OHMS))
    if not np.all(possible):
        first = np.ravel(ohms)[~possible][0]
        raise InputError(
            f"{(first if np.imag(first) else np.real(first)):g} ohm cannot be matched",
            where=name,
            remedy="give a resistance above 0, from 0.001 ohm on, and at most 1 Mohm with any reactance",
        )
    return ohms if np.any(np.imag(ohms)) else np.real(ohms)


def resistances(value: Any, name: str) -> Any:
    """Return resistances [ohm], one or an array, within the same limits as `impedances`."""
    ohms = impedances(value, name)
    if np.iscomplexobj(ohms):
        came = np.ravel(ohms)[np.flatnonzero(np.imag(ohms))[0]]
        raise InputError(
            f"{came:g} ohm has reactance, but only a resistance is understood here",
            where=name,
            remedy="give a resistance, or use wb.series_section_match for a load with reactance",
        )
    return ohms


def end(value: Any, name: str) -> Any:
    """Return the impedance of one end [ohm], a float where it is a resistance."""
    return single(impedances(value, name), name)


def resistance(value: Any, name: str) -> float:
    """Return the resistance of one end [ohm]."""
    return float(single(resistances(value, name), name))


def are_matched(source_ohms: Any, load_ohms: Any) -> bool:
    """Return whether two ends [ohm] are conjugate to within rounding, so that nothing is to be matched."""
    return bool(abs(source_ohms - np.conj(load_ohms)) <= SAME * abs(source_ohms))
