"""Which catalogue cables, single or two in parallel, come nearest to an impedance."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from workbook.checks import positive
from workbook.errors import InputError, shown
from workbook.line.cable import Cable
from workbook.line.catalogue import cable, cable_files, load_cable
from workbook.matching.match import resistance, single
from workbook.matching.sections import quarter_wave, quarter_wave_impedance, quarter_wave_match
from workbook.table import Table
from workbook.units import Quantity


@dataclass(frozen=True)
class Choice:
    """A cable, how many in parallel, and their impedance [ohm, complex] at the frequency asked."""

    cable: Cable
    count: int
    ohms: complex

    @property
    def impedance(self) -> Any:
        """Characteristic impedance of all in parallel [ohm], complex."""
        return Quantity(self.ohms, "ohm")

    @property
    def nominal_ohms(self) -> float:
        """Nominal impedance of all in parallel [ohm]."""
        return float(self.cable.nominal_impedance.m_as("ohm")) / self.count

    @property
    def name(self) -> str:
        """The cable's name, after 'two' where two lie in parallel."""
        return self.cable.name if self.count == 1 else f"two {self.cable.name}"


def nearest_cables(
    impedance: Any, frequency: Any, cables: Iterable[Any] | None = None, most_parallel: int = 2
) -> tuple[Choice, ...]:
    """Return cables, single or in parallel, nearest to an impedance first, by their true impedance.

    Parameters
    ----------
    impedance
        Resistance wanted.
    frequency
        Frequency at which the cables' own impedance counts.
    cables
        Cables or names of cables to choose from; None = the coaxial cables of the catalogue.
    most_parallel
        1 or 2.

    Examples
    --------
    >>> nearest_cables("37.5 ohm", "1.83 MHz", ("rg-58-solid-pe", "rg-6-solid-pe"))[0].name
    'two rg-6-solid-pe'
    """
    ohms = resistance(impedance, "impedance")
    hertz = single(positive(frequency, "Hz", "frequency"), "frequency")
    if most_parallel not in (1, 2) or isinstance(most_parallel, bool):
        raise InputError(f"{shown(most_parallel)} is not meant here", where="most_parallel", remedy="write 1 or 2")
    return nearest_of(ohms, hertz, chosen_cables(cables), most_parallel)


def nearest_of(ohms: float, hertz: float, among: tuple[Cable, ...], most_parallel: int = 2) -> tuple[Choice, ...]:
    """Return `nearest_cables` on plain numbers."""
    choices = choices_of(hertz, among, most_parallel)
    return tuple(sorted(choices, key=lambda choice: abs(choice.ohms - ohms)))


def choices_of(hertz: float, among: tuple[Cable, ...], most_parallel: int = 2) -> tuple[Choice, ...]:
    """Return every cable, single and in parallel, with its impedance."""
    found = ((each, complex(each.constants(hertz)[1])) for each in among)
    return tuple(Choice(each, n, ohms / n) for each, ohms in found for n in range(1, most_parallel + 1))


def chosen_cables(names: Iterable[Any] | None) -> tuple[Cable, ...]:
    """Return the cables meant by names or cables; all of the catalogue for None."""
    if isinstance(names, (str, Cable)) or (names is not None and not isinstance(names, Iterable)):
        raise InputError(
            f"a row of cables is wanted, not {shown(names)}",
            where="cables",
            remedy="write ('series-6-copper', another)",
        )
    if names is None:
        # a balanced pair is not a section of coaxial line
        known = (load_cable(path) for _, path in sorted(cable_files().items()))
        return tuple(each for each in known if not each.is_balanced)
    found = tuple(each if isinstance(each, Cable) else _named(each) for each in names)
    if not found:
        raise InputError(
            "is empty", where="cables", remedy="name at least one cable, or leave it out to use the whole catalogue"
        )
    return found


def _named(name: Any) -> Cable:
    try:
        return cable(name)
    except InputError as error:
        # what is wrong in a cable's own file is told by its path
        raise error.renamed("name", "cables") from None


def nearest_table(source: Any, load: Any, frequency: Any, cables: Iterable[Any] | None = None, most: int = 6) -> Table:
    """Return a table of the cables nearest to the impedance of a quarter-wave line, and the SWR each leaves."""
    wanted = quarter_wave_impedance(source, load)
    hertz = single(positive(frequency, "Hz", "frequency"), "frequency")
    ideal = quarter_wave_match(source, load, frequency)
    rows = []
    for choice in nearest_of(wanted.m_as("ohm"), hertz, chosen_cables(cables))[:most]:
        rows.append((choice.name, f"{choice.ohms.real:.2f}", _left(ideal, choice, hertz)))
    title = f"Nearest to a quarter-wave line of {wanted.m_as('ohm'):.2f} ohm at {hertz / 1e6:.4g} MHz"
    return Table(title, ("cable", "impedance ohm", "SWR at the source"), tuple(rows))


def _left(ideal: Any, choice: Choice, hertz: float) -> str:
    radians = ideal.sections[0].radians
    try:
        made = quarter_wave(ideal.source_ohms, ideal.load_ohms, hertz, choice.cable, radians, choice.count)
    except InputError:  # it loses nearly all
        return "-"
    return f"{float(made.plain(hertz).swr_in):.2f}"
