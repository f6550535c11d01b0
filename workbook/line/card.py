"""A cable on one page of text: what it does on the bands, what is published, what is unknown."""

from collections.abc import Iterator

from workbook.bands import band, bands
from workbook.errors import InputError
from workbook.files import shipped
from workbook.line.cable import Cable
from workbook.line.catalogue import cable, cable_files, user_folder
from workbook.line.record import Record
from workbook.table import Table
from workbook.units import Quantity

HUNDRED_METRES = Quantity(100.0, "m")


def listing() -> Table:
    """Return all cables; a file that cannot be read says why in its row and takes no other down."""
    rows = []
    for name, path in sorted(cable_files().items()):
        where = "your own" if path.parent == user_folder() else "bundled"
        if where == "your own" and (shipped("cable_data") / path.name).exists():
            where = "your own, hides the bundled one"
        try:
            found = cable(name)
        except InputError as error:
            rows.append((name, where, "", "", str(error)))
            continue
        assert found.record is not None  # every file holds a record
        ohm = f"{found.nominal_impedance.m_as('ohm'):g}"
        rows.append((name, where, ohm, f"{found.nominal_velocity_factor:g}", found.record.standard_type))
    return Table("Cables", ("name", "whose", "ohm", "nominal velocity factor", "type"), tuple(rows))


def band_figures(made_of: Cable) -> Table:
    """Return loss, velocity factor and impedance in the middle of every band, with the range of a clad cable."""
    rows = []
    for name in bands():
        centre = band(name).centre
        low, loss, high = (x * HUNDRED_METRES for x in made_of.span("attenuation", centre))
        slow, velocity, fast = made_of.span("velocity_factor", centre)
        impedance = made_of.characteristic_impedance(centre).m_as("ohm")
        rows.append(
            (
                name,
                f"{centre.m_as('MHz'):.3f}",
                _with_range(loss.m_as("dB"), low.m_as("dB"), high.m_as("dB"), 2),
                _with_range(velocity, slow, fast, 4),
                f"{impedance.real:.2f}{impedance.imag:+.2f}j",
            )
        )
    headings = ("band", "middle MHz", "loss dB/100 m", "velocity factor", "impedance ohm")
    return Table(made_of.name, headings, tuple(rows))


def _with_range(value: float, low: float, high: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return text if high - low < 10**-digits else f"{text} ({low:.{digits}f} to {high:.{digits}f})"


def published(record: Record) -> Table:
    """Return the published attenuation points, each with its status and source."""
    rows = tuple(
        (
            f"{point.frequency.m_as('MHz'):g}",
            f"{(point.loss * HUNDRED_METRES).m_as('dB'):.2f}",
            point.status + ("" if record.sources[point.source].seen else ", from memory"),
            record.sources[point.source].citation,
        )
        for point in sorted(record.attenuation, key=lambda point: point.frequency.m_as("Hz"))
    )
    return Table("Published attenuation", ("MHz", "dB/100 m", "status", "source"), rows)


def card(made_of: Cable) -> str:
    """Return everything about one cable as text."""
    assert made_of.record is not None  # a cable of the catalogue has one
    loop = made_of.loop_resistance.m_as("ohm/m") * 1000
    head = (
        f"{made_of.name}: {made_of.record.standard_type}\n"
        f"nominal {made_of.nominal_impedance.m_as('ohm'):g} ohm, velocity factor "
        f"{made_of.nominal_velocity_factor:g}; DC loop resistance {loop:.1f} ohm/km at 20 degC"
    )
    notes = "\n".join(
        (*_temperature(made_of.record), *(f"Also made {version}." for version in made_of.record.versions))
    )
    unknown = "\n".join(("Not known:", *(f"- {sentence}" for sentence in made_of.unknown)))
    parts = (head, band_figures(made_of).text(), published(made_of.record).text(), notes, unknown)
    return "\n\n".join(part for part in parts if part)


def _temperature(record: Record) -> Iterator[str]:
    loss, delay = record.temperature.loss, record.temperature.delay
    if loss:
        yield f"Loss grows by {loss.value:.2%} per kelvin ({record.sources[loss.source].citation})."
    if delay:
        yield f"Delay changes by {delay.value * 1e6:+.0f} ppm per kelvin ({record.sources[delay.source].citation})."
