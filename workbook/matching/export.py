"""A match as a Touchstone file."""

from pathlib import Path
from typing import Any

from workbook.errors import InputError, shown
from workbook.files import write_all
from workbook.matching.match import Match, resistance


def touchstone(match: Match, frequency: Any, port_impedance: Any = "50 ohm") -> str:
    """Return a match as the text of a Touchstone file (.s2p, version 1), both ports of one resistance.

    Version 1 knows only one reference resistance, so the figures are those between two such ports, not those between
    the match's own source and load; a comment in the file says both.

    Parameters
    ----------
    match
        What to write.
    frequency
        One frequency or a rising row of them.
    port_impedance
        Resistance of both ports in the file.
    """
    if not isinstance(match, Match):
        raise InputError(
            f"{shown(match)} is no match", where="match", remedy="write wb.quarter_wave_match(...) or another way"
        )
    ohms = resistance(port_impedance, "port_impedance")
    network = match.between((ohms, ohms), frequency)
    network.frequency.unit = "Hz"
    # scikit-rf writes every line as a comment
    network.comments = (
        f" {match.name}: source {match.source_ohms:g} ohm at port 1, load {match.load_ohms:g} ohm at port 2\n"
        f" figures below are between two ports of {ohms:g} ohm"
    )
    return network.write_touchstone("match", return_string=True, skrf_comment=False)


def save_touchstone(match: Match, frequency: Any, path: Path | str, port_impedance: Any = "50 ohm") -> Path:
    """Write a match to a Touchstone file, whole or not at all, and return its path.

    Raises
    ------
    InputError
        When the name does not end in .s2p, or the file cannot be written.
    """
    if not isinstance(path, (str, Path)) or "\0" in str(path):
        raise InputError(
            f"{shown(path)} is no name of a file", where="path", remedy="write it as text, such as 'match.s2p'"
        )
    target = Path(path)
    if target.suffix.lower() != ".s2p":
        raise InputError(
            f"{shown(target.name)} does not end in .s2p, by which a two-port is known", where="path", remedy="add it"
        )
    text = touchstone(match, frequency, port_impedance)
    try:
        write_all({target: text})
    except OSError as error:
        raise InputError(
            f"{target.name} cannot be written ({error.strerror})", where="path", remedy="choose another folder"
        ) from None
    return target
