"""A match as a Touchstone file."""

from pathlib import Path

from workbook.checks import instance
from workbook.errors import InputError, shown
from workbook.files import write_all
from workbook.matching.arguments import resistance
from workbook.matching.match import Match
from workbook.units import Frequency, Impedance


def touchstone(match: Match, frequency: Frequency, port_impedance: Impedance = "50 ohm") -> str:
    """Return a match as the text of a Touchstone file (.s2p, version 1), both ports of one resistance.

    Version 1 knows only one reference resistance, so the figures are those between two such ports, not those between
    the match's own source and load; a comment in the file says both.

    Parameters
    ----------
    match
        What to write.
    frequency
        One frequency, or a rising sequence of them.
    port_impedance
        Resistance of both ports in the file.

    Returns
    -------
    the whole file as text

    Raises
    ------
    InputError
        When the frequencies do not rise, or an argument is of the wrong kind.
    """
    instance(match, Match, "match", "write wb.quarter_wave_match(...) or another match")
    ohms = resistance(port_impedance, "port_impedance")
    network = match.network(frequency, port_impedance)
    # scikit-rf writes every line as a comment
    network.comments = (
        f" {match.name}: source {match.source_ohms:g} ohm at port 1, load {match.load_ohms:g} ohm at port 2\n"
        f" figures below are between two ports of {ohms:g} ohm"
    )
    text: str = network.write_touchstone("match", return_string=True, skrf_comment=False)
    return text


def save_touchstone(match: Match, frequency: Frequency, path: Path | str, port_impedance: Impedance = "50 ohm") -> Path:
    """Write a match to a Touchstone file, whole or not at all, and return its path.

    Parameters
    ----------
    match, frequency, port_impedance
        As in `touchstone`.
    path
        Name of the file; it ends in .s2p.

    Returns
    -------
    the path of the file

    Raises
    ------
    InputError
        When the name does not end in .s2p, or the file cannot be written.
    """
    if not isinstance(path, (str, Path)) or "\0" in str(path):
        raise InputError(
            f"got {shown(path)}", where="path", wanted="the name of a file", remedy="write it like 'match.s2p'"
        )
    target = Path(path)
    if target.suffix.lower() != ".s2p":
        raise InputError(
            f"{shown(target.name)} does not end in .s2p, the suffix of a two-port", where="path", remedy="add it"
        )
    text = touchstone(match, frequency, port_impedance)
    try:
        write_all({target: text})
    except (OSError, UnicodeError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be encoded"
        raise InputError(
            f"{shown(target.name)} cannot be written ({reason})", where="path", remedy="choose another folder"
        ) from None
    return target
