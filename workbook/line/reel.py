"""Reel calibration: one cladding out of the range, or a velocity factor of its own, from a measurement on a reel."""

import datetime
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from workbook.checks import check_velocity_factor, file_path, flag, instance, not_negative, one_of, positive, single
from workbook.errors import InputError, shown
from workbook.files import write_all
from workbook.formulas import lines
from workbook.line.cable import Cable, check_cable
from workbook.line.catalogue import cable_files, user_folder
from workbook.line.lengths import QUARTERS
from workbook.line.models import CoaxModel
from workbook.line.record import Record
from workbook.schema import checked
from workbook.units import Frequency, Length, Quantity, Time, with_unit


@dataclass(frozen=True)
class CalibratedCable:
    """A cable calibrated by a measurement on its reel.

    Attributes
    ----------
    cable
        The cable of that reel.
    how
        How it was measured, as its file will say.
    cladding
        What was found by a resistance [um]; None after another measurement.
    velocity_factor
        What was found by a check frequency, a plain number; None after another measurement.
    frequency
        The check frequency; None after another measurement.
    """

    cable: Cable
    how: str
    cladding: Length | None = None
    velocity_factor: float | None = None
    frequency: Frequency | None = None


def calibrate_by_resistance(cable: Cable, resistance: Quantity, length: Length, loop: bool = False) -> CalibratedCable:
    """Return a clad cable with the one cladding that has a measured direct-current resistance.

    Copper and steel conduct in parallel: 1/R = pi (sigma_copper (r^2 - s^2) + sigma_steel s^2), solved for the radius
    s of the steel.

    Parameters
    ----------
    cable
        A cable with a clad centre.
    resistance
        Measured from end to end, less that of the meter's own leads.
    length
        Length of the measured piece.
    loop
        Whether centre and shield were measured in series, the far end shorted; the record's shield is subtracted.

    Returns
    -------
    CalibratedCable
        With `cladding`.

    Raises
    ------
    InputError
        When the centre is not clad, or no thickness of copper on its steel has that resistance.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> calibrate_by_resistance(cable("series-6-clad"), "13.78 ohm", "100 m").cladding.m_as("um")
    15.0
    """
    model = check_cable(cable).model
    ohms = single(positive(resistance, "ohm", "resistance"), "resistance")
    metres = single(positive(length, "m", "length"), "length")
    if not isinstance(model, CoaxModel) or not model.is_clad:
        raise InputError(f"{cable.name} has no clad centre", where="cable", remedy="choose a clad cable")
    shield = model.shield_resistance if flag(loop, "loop") else 0.0
    steel = _steel_radius(model, ohms / metres - shield)
    if steel is None:
        raise _fits_no_cladding(cable.name, model, ohms / metres, shield)
    cladding = with_unit(1e6 * (model.radius - steel), "um")
    how = f"{'loop' if loop else 'centre'} resistance of {ohms:g} ohm over {_as_given(length, metres)}"
    return CalibratedCable(cable.with_cladding(cladding), how, cladding=cladding)


def _as_given(length: Length, metres: float) -> str:
    """Return a length as it was typed, a quantity in metres."""
    return length.strip() if isinstance(length, str) else f"{metres:g} m"


def _solid_resistance(model: CoaxModel, conductivity: float) -> float:
    """Return the resistance [ohm/m] of the centre if it were of one metal."""
    return 1 / (conductivity * np.pi * model.radius**2)


def _steel_radius(model: CoaxModel, per_metre: float) -> float | None:
    """Return the radius of the steel [m] of a centre of one resistance [ohm/m]; None where none has it."""
    copper, steel = model.conductivity, model.steel_conductivity
    if not _solid_resistance(model, copper) < per_metre < _solid_resistance(model, steel):
        return None
    return float(np.sqrt((copper * np.pi * model.radius**2 - 1 / per_metre) / (np.pi * (copper - steel))))


def _fits_no_cladding(name: str, model: CoaxModel, per_metre: float, shield: float) -> InputError:
    low, high = (
        (_solid_resistance(model, metal) + shield) * 1e3 for metal in (model.conductivity, model.steel_conductivity)
    )
    return InputError(
        f"{per_metre * 1e3:.4g} ohm/km fits no cladding of {name}, whose resistance lies between {low:.4g} ohm/km "
        f"(all copper) and {high:.4g} (all steel)",
        where="resistance",
        remedy="check meter and length",
    )


def calibrate_by_check_frequency(
    cable: Cable, frequency: Frequency, length: Length, far_end: str = "open", connector_delay: Time = "0 ns"
) -> CalibratedCable:
    """Return a cable with the velocity factor that a piece of known length shows by its check frequency.

    Parameters
    ----------
    cable
        The cable as its record has it.
    frequency
        Check frequency of the piece: lowest zero of reactance, a quarter wave open, a half wave shorted.
    length
        Length of the cable between its connectors.
    far_end
        ``"open"`` or ``"short"``.
    connector_delay
        Electrical delay of one connector; one at each end.

    Returns
    -------
    CalibratedCable
        With `velocity_factor` and `frequency`.

    Raises
    ------
    InputError
        When no cable can have the velocity factor, which means a wrong length or another zero.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> calibrate_by_check_frequency(ideal_cable("75 ohm", 0.66), "3.6 MHz", "50 ft").velocity_factor
    0.7320
    """
    hertz = single(positive(frequency, "Hz", "frequency"), "frequency")
    metres = single(positive(length, "m", "length"), "length")
    extra = 2 * single(not_negative(connector_delay, "s", "connector_delay"), "connector_delay")
    quarters = QUARTERS[one_of(far_end, QUARTERS, "far_end")]
    gamma, impedance = check_cable(cable).constants(hertz)
    # connectors are short, so as far as loss goes they may count as cable of the record
    whole = metres + extra * 2 * np.pi * hertz / gamma.imag
    excess = lines.zero_reactance_phase(gamma, impedance, whole)
    lag = quarters * np.pi / 2 + excess - 2 * np.pi * hertz * extra
    velocity = float(2 * np.pi * hertz * metres / (lag * lines.C)) if lag > 0 else np.nan
    try:
        check_velocity_factor(velocity)
    except InputError:
        raise InputError(
            f"{hertz / 1e6:.4g} MHz on {metres:.4g} m would mean a velocity factor that no cable has",
            where="frequency",
            remedy="check the length, and that it is the lowest zero of reactance",
        ) from None
    how = f"check frequency of {hertz / 1e6:.6g} MHz on {_as_given(length, metres)}, far end {far_end}"
    at = with_unit(hertz, "Hz")
    try:
        scaled = cable.with_velocity_factor(velocity, at)
    except InputError as error:
        raise error.at("frequency") from None
    return CalibratedCable(scaled, how, velocity_factor=velocity, frequency=at)


def save_calibrated_cable(
    calibrated: CalibratedCable, name: str, date: datetime.date, folder: Path | str | None = None
) -> Path:
    """Write a calibrated cable to the user's own folder, with date and how it was measured.

    Parameters
    ----------
    calibrated
        The cable, whose record is one of the catalogue's.
    name
        Name of the new cable: small letters, digits and hyphens. One that hides a bundled cable is allowed.
    date
        Day of the measurement.
    folder
        Folder to write to; without it the user's own.

    Returns
    -------
    Path
        The new file.

    Raises
    ------
    InputError
        When the name cannot be one, the user already has a cable of that name, or the folder cannot be written.
    """
    remedy = "make one with wb.calibrate_by_resistance or wb.calibrate_by_check_frequency"
    instance(calibrated, CalibratedCable, "calibrated", remedy)
    instance(date, datetime.date, "date", "write datetime.date(2026, 5, 30)")
    if not isinstance(name, str) or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name) or len(name) > 60:
        remedy = "use small letters, digits and hyphens, such as my-reel-1"
        raise InputError(f"{shown(name)} cannot be the name of a cable", where="name", remedy=remedy)
    target = (user_folder() if folder is None else file_path(folder, "folder")) / f"{name}.toml"
    text = _text_of(calibrated, date)
    checked(Record, tomllib.loads(text), str(target))
    try:
        if target.exists():
            remedy = "choose another name, so that nothing is lost"
            raise InputError("is already there", where=str(target), remedy=remedy)
        target.parent.mkdir(parents=True, exist_ok=True)
        write_all({target: text})
    except OSError as error:
        remedy = "check the folder"
        raise InputError(f"cannot be written ({error.strerror})", where=str(target), remedy=remedy) from None
    return target


def _text_of(calibrated: CalibratedCable, date: datetime.date) -> str:
    """Return the file of the catalogue's cable with the measurement added under a source of its own."""
    import tomlkit

    name = calibrated.cable.name
    original = cable_files().get(name)
    if original is None:
        problem = f"{name} is not in the catalogue, so it has no file to calibrate"
        raise InputError(problem, where="calibrated", remedy="start from wb.cable('series-6-clad') or another name")
    try:
        document: Any = tomlkit.parse(original.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        raise InputError("has been changed and cannot be read", where=str(original), remedy="correct it") from None
    measured = document.get("measured", [])
    key = f"measured-{len(measured) + 1}"
    document["sources"][key] = _inline({"citation": f"Measured on {date:%Y-%m-%d} by {calibrated.how}", "seen": True})
    entry = tomlkit.table()
    entry["date"], entry["how"] = f"{date:%Y-%m-%d}", calibrated.how
    if calibrated.cladding is not None:
        for end in ("least", "typical", "greatest"):
            value = {"value": f"{calibrated.cladding.m_as('um'):.2f} um", "source": key}
            document["centre"]["cladding"][end] = _inline(value)
    if calibrated.velocity_factor is not None:
        assert calibrated.frequency is not None  # they come together
        entry["velocity_factor"] = _inline({"value": round(calibrated.velocity_factor, 5), "source": key})
        entry["frequency"] = f"{calibrated.frequency.m_as('MHz'):.6f} MHz"
    if not measured:
        document["measured"] = tomlkit.aot()
    document["measured"].append(entry)
    return tomlkit.dumps(document)


def _inline(entries: dict[str, Any]) -> Any:
    """Return a table on one line, as cable files write values and sources."""
    import tomlkit

    made = tomlkit.inline_table()
    made.update(entries)
    return made
