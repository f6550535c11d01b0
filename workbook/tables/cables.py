"""Tables of cables: the catalogue, a cable on the bands, its data sheet, and the result of a reel calibration."""

import textwrap
from collections.abc import Iterator

from workbook.bands import band, bands
from workbook.errors import InputError
from workbook.files import shipped
from workbook.formatting import LengthUnits
from workbook.line import catalogue
from workbook.line.cable import Cable
from workbook.line.record import Record
from workbook.line.reel import CalibratedCable
from workbook.tables.table import Table


def listing() -> Table:
    """Return the catalogue; a file that cannot be used says why in its row."""
    rows = []
    for name, path in sorted(catalogue.cable_files().items()):
        where = "your own" if path.parent == catalogue.user_folder() else "bundled"
        if where == "your own" and (shipped("cable_data") / path.name).exists():
            where = "your own, hides the bundled one"
        try:
            found = catalogue.cable(name)
        except InputError as error:
            rows.append((name, where, "", "", " ".join(str(fault) for fault in error.faults)))
            continue
        assert found.record is not None  # every file holds a record
        ohm = f"{found.nominal_impedance.m_as('ohm'):g}"
        rows.append((name, where, ohm, f"{found.nominal_velocity_factor:g}", found.record.standard_type))
    return Table("Cables", ("name", "file", "ohm", "printed velocity factor", "type"), tuple(rows))


def band_table(cable: Cable, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return loss, velocity factor and impedance in the middle of every band, with the range of a clad cable."""
    rows = []
    hundred, metres = units.hundred
    for name in bands():
        centre = band(name).centre
        low, loss, high = (float(x.m_as("dB/m")) * metres for x in cable.span("attenuation", centre))
        slow, velocity, fast = cable.span("velocity_factor", centre)
        impedance = cable.characteristic_impedance(centre).m_as("ohm")
        rows.append(
            (
                name,
                f"{centre.m_as('MHz'):.3f}",
                _with_range(loss, low, high, 2),
                _with_range(velocity, slow, fast, 4),
                f"{impedance.real:.2f}{impedance.imag:+.2f}j",
            )
        )
    headings = ("band", "middle MHz", f"loss dB/{hundred}", "velocity factor", "impedance ohm")
    return Table(cable.name, headings, tuple(rows))


def _with_range(value: float, low: float, high: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return text if high - low < 10**-digits else f"{text} ({low:.{digits}f} to {high:.{digits}f})"


def published_table(record: Record) -> Table:
    """Return the published attenuation points, each with its status and source."""
    rows = tuple(
        (
            f"{point.frequency.m_as('MHz'):g}",
            f"{float(point.loss.m_as('dB/m')) * 100:.2f}",
            point.status + ("" if record.sources[point.source].seen else ", from memory"),
            record.sources[point.source].citation,
        )
        for point in sorted(record.attenuation, key=lambda point: point.frequency.m_as("Hz"))
    )
    return Table("Published attenuation", ("MHz", "dB/100 m", "status", "source"), rows)


def data_sheet(cable: Cable, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return everything known about one cable of the catalogue as text."""
    assert cable.record is not None  # a cable of the catalogue has one
    loop = cable.loop_resistance.m_as("ohm/m") * 1000
    head = (
        f"{cable.name}: {cable.record.standard_type}\n"
        f"nominal {cable.nominal_impedance.m_as('ohm'):g} ohm, velocity factor "
        f"{cable.nominal_velocity_factor:g}; DC loop resistance {loop:.1f} ohm/km at 20 degC"
    )
    notes = "\n".join((*_temperature(cable.record), *(f"Also made {version}." for version in cable.record.versions)))
    unknown = "\n".join(("Not known:", *(f"- {sentence}" for sentence in cable.unknown)))
    tables = (band_table(cable, units).text(), published_table(cable.record).text())
    parts = (_wrapped(head), *tables, _wrapped(notes), _wrapped(unknown))
    return "\n\n".join(part for part in parts if part)


def _wrapped(text: str) -> str:
    """Wrap each line of a text for a terminal."""
    return "\n".join(
        textwrap.fill(line, 80, subsequent_indent="  ", break_on_hyphens=False) for line in text.splitlines()
    )


def _temperature(record: Record) -> Iterator[str]:
    loss, delay = record.temperature.loss, record.temperature.delay
    if loss:
        yield f"Loss grows by {loss.value:.2%} per kelvin ({record.sources[loss.source].citation})."
    if delay:
        yield f"Delay changes by {delay.value * 1e6:+.0f} ppm per kelvin ({record.sources[delay.source].citation})."


def calibration_sentence(calibrated: CalibratedCable) -> str:
    """Return what a measurement on a reel found as a sentence."""
    if calibrated.cladding is not None:
        return f"{calibrated.cladding.m_as('um'):.1f} um of copper on steel, by {calibrated.how}."
    assert calibrated.frequency is not None  # it is one or the other
    at = f"{calibrated.frequency.m_as('MHz'):.4f} MHz"
    return f"velocity factor {calibrated.velocity_factor:.4f} at {at}, by {calibrated.how}."
