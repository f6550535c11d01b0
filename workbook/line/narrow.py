"""What a measurement on a reel says about its cable: one cladding out of the range, or its own velocity factor."""

import datetime
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit

from workbook.checks import not_negative, one_of, positive
from workbook.errors import InputError
from workbook.files import write_all
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.line.catalogue import cable_files, user_folder
from workbook.line.lengths import QUARTERS
from workbook.line.models import CoaxModel
from workbook.line.record import Record
from workbook.schema import checked
from workbook.units import with_unit


@dataclass(frozen=True)
class Narrowed:
    """A cable narrowed by a measurement.

    `cable` answers for the reel that was measured; `cladding` [um] or `velocity_factor` at `frequency` [Hz] is what
    was found (None where it was not asked); `how` says how, for the record.
    """

    cable: Cable
    how: str
    cladding: Any = None
    velocity_factor: float | None = None
    frequency: Any = None

    def sentence(self) -> str:
        """Say in words what was found."""
        if self.cladding is not None:
            return f"{self.cladding.m_as('um'):.1f} um of copper on steel, by {self.how}."
        return f"velocity factor {self.velocity_factor:.4f} at {self.frequency.m_as('MHz'):.4f} MHz, by {self.how}."


def narrowed_by_resistance(cable: Cable, resistance: Any, length: Any, loop: bool = False) -> Narrowed:
    """Return a clad cable with the one cladding that has a measured direct-current resistance.

    Parameters
    ----------
    cable
        A cable with a clad centre.
    resistance
        Measured from end to end, the meter's own leads taken off.
    length
        Of the measured piece.
    loop
        Whether centre and shield were measured in series, the far end shorted; the record's shield is taken off.

    Raises
    ------
    InputError
        When the centre is not clad, or no thickness of copper on its steel has that resistance.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> narrowed_by_resistance(cable("series-6-clad"), "13.78 ohm", "100 m").sentence()
    '15.0 um of copper on steel, by centre resistance of 13.78 ohm over 100 m.'
    """
    measured = positive(resistance, "ohm", "resistance")
    metres = positive(length, "m", "length")
    if not isinstance(cable.model, CoaxModel) or not cable.model.is_clad:
        raise InputError(
            f"{cable.name} has no clad centre to be told apart", where="resistance", remedy="choose a clad cable"
        )
    if np.ndim(measured) or np.ndim(metres):
        raise InputError("one measurement at a time", where="resistance", remedy="give single values")
    model = cable.model
    per_metre = measured / metres - (model.shield_resistance if loop else 0.0)
    most, least = (1 / (sigma * np.pi * model.radius**2) for sigma in (model.steel_conductivity, model.conductivity))
    if not least < per_metre < most:
        low, high = (value + (model.shield_resistance if loop else 0.0) for value in (least, most))
        raise InputError(
            (
                f"{measured / metres * 1000.0:.4g} ohm/km fits no cladding of {cable.name}, whose "
                f"resistance lies between {low * 1000.0:.4g} ohm/km (all copper) and {high * 1000.0:.4g} "
                "(all steel)"
            ),
            where="resistance",
            remedy="check meter and length",
        )
    # conductance of both metals together, solved for the radius of the steel
    copper = model.conductivity * np.pi * model.radius**2
    core = np.sqrt((copper - 1 / per_metre) / (np.pi * (model.conductivity - model.steel_conductivity)))
    cladding = with_unit(1e6 * (model.radius - core), "um")
    what = "loop" if loop else "centre"
    how = f"{what} resistance of {measured:g} ohm over {metres:g} m"
    return Narrowed(cable.with_cladding(cladding), how, cladding=cladding)


def narrowed_by_check_frequency(
    cable: Cable, frequency: Any, length: Any, far_end: str = "open", connector_delay: Any = "0 ns"
) -> Narrowed:
    """Return a cable with the velocity factor that a piece of known length shows by its check frequency.

    Parameters
    ----------
    cable
        The cable as its record has it.
    frequency
        Check frequency of the piece: lowest zero of reactance, a quarter wave open, a half wave shorted.
    length
        Of the cable between its connectors.
    far_end
        ``"open"`` or ``"short"``.
    connector_delay
        Of one connector; one at each end.

    Raises
    ------
    InputError
        When the velocity factor would lie outside 0 to 1, which means a wrong length or another zero.

    Examples
    --------
    >>> from workbook.line.cable import ideal_cable
    >>> narrowed_by_check_frequency(ideal_cable("75 ohm", 0.66), "3.6 MHz", "50 ft").velocity_factor
    0.7320
    """
    hertz = positive(frequency, "Hz", "frequency")
    metres = positive(length, "m", "length")
    extra = 2 * not_negative(connector_delay, "s", "connector_delay")
    quarters = QUARTERS[one_of(far_end, QUARTERS, "far_end")]
    if np.ndim(hertz) or np.ndim(metres) or np.ndim(extra):
        raise InputError("one measurement at a time", where="frequency", remedy="give single values")
    gamma, impedance = cable.constants(hertz)
    # connectors are short, so as far as loss goes they may count as cable of the record
    whole = metres + extra * 2 * np.pi * hertz / gamma.imag
    excess = lines.zero_reactance_phase(gamma, impedance, whole)
    lag = quarters * np.pi / 2 + excess - 2 * np.pi * hertz * extra
    velocity = 2 * np.pi * hertz * metres / (lag * lines.C) if lag > 0 else np.nan
    if not 0 < velocity <= 1:
        raise InputError(
            (f"{hertz / 1000000.0:.4g} MHz on {metres:.4g} m would mean a velocity factor outside 0 to 1"),
            where="frequency",
            remedy="check the length, and that it is the lowest zero of reactance",
        )
    how = f"check frequency of {hertz / 1e6:.6g} MHz on {metres:g} m, far end {far_end}"
    found = cable.with_velocity_factor(float(velocity), with_unit(hertz, "Hz"))
    return Narrowed(found, how, velocity_factor=float(velocity), frequency=with_unit(hertz, "Hz"))


def save_narrowed(narrowed: Narrowed, name: str, date: datetime.date, folder: Path | None = None) -> Path:
    """Write a narrowed cable to the user's own folder, with date and how it was measured, and return its file.

    Parameters
    ----------
    narrowed
        The cable, whose record is one of the catalogue's.
    name
        Name of the new cable: small letters, digits and hyphens. One that hides a bundled cable is allowed.
    date
        When it was measured.
    folder
        Where to; without it the user's own folder.

    Raises
    ------
    InputError
        When the name cannot be one, the user already has a cable of that name, or the folder cannot be written.
    """
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name) or len(name) > 60:
        raise InputError(
            f"{name!r} is no cable name",
            where="name",
            remedy="use small letters, digits and hyphens, such as my-reel-1",
        )
    target = (folder or user_folder()) / f"{name}.toml"
    if target.exists():
        raise InputError("is already there", where=str(target), remedy="choose another name, so that nothing is lost")
    original = cable_files().get(narrowed.cable.name)
    if original is None:
        raise InputError(
            f"{narrowed.cable.name} is no cable of the catalogue, so there is no record to narrow", where="name"
        )
    document: Any = tomlkit.parse(original.read_text(encoding="utf-8"))
    _enter(document, narrowed, date)
    text = tomlkit.dumps(document)
    checked(Record, tomllib.loads(text), str(target))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        write_all({target: text})
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})", where=str(target), remedy="check the folder"
        ) from None
    return target


def _enter(document: Any, narrowed: Narrowed, date: datetime.date) -> None:
    """Put what was found into a cable's file, under a source of its own."""
    earlier = document.get("measured", [])
    key = f"measured-{len(earlier) + 1}"
    document["sources"][key] = _inline({"citation": f"Measured on {date:%Y-%m-%d} by {narrowed.how}", "seen": True})
    entry = tomlkit.table()
    entry["date"], entry["how"] = f"{date:%Y-%m-%d}", narrowed.how
    if narrowed.cladding is not None:
        for end in ("least", "typical", "greatest"):
            figure = {"value": f"{narrowed.cladding.m_as('um'):.2f} um", "source": key}
            document["centre"]["cladding"][end] = _inline(figure)
    if narrowed.velocity_factor is not None:
        entry["velocity_factor"] = _inline({"value": round(narrowed.velocity_factor, 5), "source": key})
        entry["frequency"] = f"{narrowed.frequency.m_as('MHz'):.6f} MHz"
    if earlier:
        document["measured"].append(entry)
    else:
        document["measured"] = tomlkit.aot()
        document["measured"].append(entry)


def _inline(entries: dict[str, Any]) -> Any:
    """Return a table on one line, as cable files write figures and sources."""
    made = tomlkit.inline_table()
    made.update(entries)
    return made
