"""The glossary: each term that a builder reads, with its meaning and unit; and the words that are not used."""

import functools
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal


@dataclass(frozen=True)
class Term:
    """A term of the glossary.

    Parameters
    ----------
    name
        The term as it stands in headings.
    meaning
        What it means, in one or two sentences.
    unit
        Unit that it is given in; empty where it has none.
    origin
        ``"standard"`` for a term of handbooks and standards, ``"trade"`` for one that builders use.
    also
        Other spellings that headings use.
    """

    name: str
    meaning: str
    unit: str = ""
    origin: Literal["standard", "trade"] = "standard"
    also: tuple[str, ...] = ()


TERMS: tuple[Term, ...] = (
    Term("-3 dB beamwidth", "Angle between the two directions in which a pattern is 3 dB below its maximum.", "deg"),
    Term("accept range", "Check frequencies at which a piece is accepted as it is.", "MHz", "trade"),
    Term("attenuator", "Resistors that reduce the level of one element.", "dB"),
    Term("azimuth", "Direction on the ground, clockwise from north.", "deg", also=("azimuth deg true", "true bearing")),
    Term("beam heading", "Azimuth from which the array receives best in one switch position.", "deg", "trade"),
    Term(
        "check frequency",
        "Lowest frequency at which a piece with its far end open has zero reactance at the near end: "
        "a quarter wave in the cable.",
        "MHz",
        "trade",
        ("check MHz",),
    ),
    Term("cladding", "Copper layer on the steel of a copper-clad centre conductor.", "µm"),
    Term("combiner", "Circuit that sums the signals of its inputs with equal weight."),
    Term("compensated length", "Length of a delay line that corrects what unmatched terminations do.", "", "trade"),
    Term("conductivity", "How well the ground conducts: high in wet and salty soil.", "mS/m"),
    Term("coupling", "Share of the magnetic flux of one winding that passes through the other.", "%"),
    Term("cut band", "Band on which every line has exactly its delay.", "", "trade"),
    Term("declination", "Angle from true north to magnetic north, east positive.", "deg"),
    Term("delay", "Time by which a signal comes later through a line; positive is later.", "ns", also=("delay ns",)),
    Term("delay line", "Length of cable that delays the signal of one or more elements.", "", "trade"),
    Term("element run", "Cable from an element to the hub; all are equally long.", "", "trade"),
    Term("elevation", "Angle above the horizon from which a signal arrives.", "deg"),
    Term(
        "error against the rule",
        "Largest phase difference between these lines and what the phasing rule gives on the same band.",
        "deg",
        "trade",
    ),
    Term(
        "error at printed velocity factor",
        "Error that a line would have if it were cut by the velocity factor printed on the cable.",
        "deg",
        "trade",
    ),
    Term("far earth", "Soil so far from a ground rod that the rod's current does not raise its potential."),
    Term("first cut", "Length to cut first: the longest that the cable may need, and some to trim.", "", "trade"),
    Term(
        "front-to-back",
        "Level from the beam heading over the level from the opposite azimuth at the same elevation (F/B).",
        "dB",
        also=("F/B",),
    ),
    Term(
        "front-to-rear",
        "Level from the beam heading over the highest, or the mean, level of the rear half.",
        "dB",
        "trade",
    ),
    Term("hub", "Box in which runs, delay lines, combiners and switches meet.", "", "trade"),
    Term("inverting transformer", "Transformer that reverses polarity: 180 deg on every band."),
    Term("kHz per cm", "Rise of the check frequency for each centimetre cut off.", "kHz/cm", "trade"),
    Term("kHz per inch", "Rise of the check frequency for each inch cut off.", "kHz/in", "trade"),
    Term(
        "ladder",
        "Hub in which the delay lines form one chain, with a tap for each delay.",
        "",
        "trade",
    ),
    Term("length to cut", "Length of cable, with what goes into its connectors, of the finished piece.", "", "trade"),
    Term(
        "loop resistance",
        "Direct-current resistance of centre and shield in series, far end shorted.",
        "ohm",
        also=("far end shorted, DC ohm",),
    ),
    Term("merge", "Let delays that differ little share one line.", "deg", "trade"),
    Term("minimum-loss pad", "Two resistors that match two resistances both ways.", "dB", also=("pad resistors",)),
    Term("noise gain", "External noise received by the array, relative to one element.", "dB", also=("noise dB",)),
    Term("null", "Direction in which the array receives very little.", "deg, dB"),
    Term(
        "phase error",
        "Electrical length of a line less the wanted one; positive is too long, which is later.",
        "deg",
        also=("error deg",),
    ),
    Term("phasing rule", "How the delays of the elements follow from the direction.", "", "trade"),
    Term("port", "Connector of the hub, named by the delay line behind it.", "", "trade"),
    Term(
        "printed velocity factor", "Velocity factor that the maker prints; it holds at high frequencies.", "", "trade"
    ),
    Term("Q of the core", "Reactance of a winding over its loss in the core; low where the core is lossy."),
    Term("Q of the windings", "Reactance of the leakage inductance over its loss in the wire."),
    Term(
        "RDF",
        "Receiving directivity factor: power gain toward the beam heading over the average gain of all directions.",
        "dB",
        "trade",
    ),
    Term("reactance", "Imaginary part of an impedance: positive is inductive, negative capacitive.", "ohm"),
    Term("receiver run", "Cable from the hub to the receiver.", "", "trade"),
    Term(
        "resistance at check frequency",
        "Resistance that the analyser shows at the check frequency; much more means a poor joint or another cable.",
        "ohm",
        "trade",
    ),
    Term("resistivity", "Resistance of a cube of soil between opposite faces, times the length of an edge.", "ohm m"),
    Term("return loss", "Forward power over reflected power.", "dB"),
    Term("signal gain", "Signal from the beam heading, relative to one element.", "dB", also=("signal dB",)),
    Term("slack", "Length that an element run is longer than the distance it covers.", "", "trade"),
    Term("SWR", "Standing-wave ratio: highest over lowest voltage along a line."),
    Term("tap", "Place in a ladder at which elements are summed into the chain.", "", "trade"),
    Term("termination", "Impedance at an end of a line."),
    Term("trim", "Cut off short lengths until the check frequency is right.", "", "trade"),
    Term("velocity factor", "Speed of a wave in the cable over the speed of light; lower on low frequencies."),
    Term(
        "white-noise gain",
        "Signal from the beam heading over the noise of the elements' own amplifiers, relative to one element.",
        "dB",
    ),
)
"""Every term, by name."""

AVOIDED: Mapping[str, str] = MappingProxyType(
    {
        r"nought\w*": "zero",
        r"told|tells?": "stated, described, reported; source",
        r"whose$": "element, stake, direction",
        r"ohm there": "resistance at check frequency",
        r"waits?": "delay (ns)",
        r"fired|fires?": "beam, beam heading",
        r"deg up": "deg elevation",
        r"off the rule": "error against the rule",
        r"by (?:the )?nominal(?: one)?|nominal velocity factor": "printed velocity factor",
        r"leave it(?! out)": "no matching",
        r"load(?:ed)? again": "reload",
        r"nobody": "not known, not specified",
        r"mend(?:s|ed|ing)?": "correct, repair",
        r"reckon\w*": "compute",
        r"anew": "again",
        r"(?<!there )(?:is|are) no(?! longer)": "is not a valid, is not",
        r"makes? no": "is not a valid",
        r"hears?|heard|hearing": "receives",
        r"asks? for|asked for": "needs, requires",
        r"half-power": "-3 dB beamwidth",
    }
)
"""What modern technical English does not use, as patterns of whole words, with what it uses."""


def explained(heading: str) -> Term | None:
    """Return the term that a heading or label is about: the longest that occurs in it, None where none does.

    Parameters
    ----------
    heading
        A column heading or the label of a control.

    Examples
    --------
    >>> explained("error at printed velocity factor deg").unit
    'deg'
    """
    found = [(len(match.group()), -match.start(), term) for term in TERMS if (match := _pattern(term).search(heading))]
    return max(found, key=lambda each: each[:2])[2] if found else None


def terms_in(texts: Iterable[str]) -> tuple[Term, ...]:
    """Return every term that occurs in some texts, in the order of the glossary.

    Parameters
    ----------
    texts
        Headings, titles or sentences.
    """
    whole = "\n".join(texts)
    return tuple(term for term in TERMS if _pattern(term).search(whole))


def avoided(text: str) -> tuple[str, ...]:
    """Return the words of a text that are not used, each with what to write.

    Examples
    --------
    >>> avoided("the reactance is nought there")
    ('nought: zero',)
    """
    return tuple(
        f"{match.group()}: {better}" for pattern, better in AVOIDED.items() for match in _words(pattern).finditer(text)
    )


@functools.cache
def _pattern(term: Term) -> re.Pattern[str]:
    return _words("|".join(re.escape(name) for name in (term.name, *term.also)))


@functools.cache
def _words(pattern: str) -> re.Pattern[str]:
    """Return a pattern of whole words; a plural counts too."""
    return re.compile(rf"(?<![\w-])(?:{pattern})s?(?![\w-])", re.IGNORECASE)
