"""Malformed text of every kind that a builder may hand over: quantities, design, cable, positions and sweep files.

Each case is a valid text that is damaged by chance, seeded by its number, so that a failure can be repeated. Nothing
but `InputError` may come, no warning (pytest makes each an error), no not-a-number or infinity in a result, no markup
on a written page that its template does not have, and no case may last longer than five seconds or take a GiB.

    pytest tests/properties/test_malformed_input.py --campaign 100000
"""

import dataclasses
import json
import math
import random
import resource
import signal
import time
from collections.abc import Callable, Iterator, Mapping
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import workbook as wb
from workbook.bench.reading import sweep_in
from workbook.files import shipped
from workbook.line.catalogue import load_cable
from workbook.report.sheets import build_sheet, labels

SECONDS, MEMORY = 5.0, 1 << 30

QUANTITIES = (
    *("18 ft 3 1/2 in", "18' 3.5\"", "5.58 m", "1.83 MHz", "-40 degF", "6.6 dB/100 m", "½ in", '3-1/2"', "71 deg"),
    *("0.11 ns", "75 ohm", "16.2 pF/ft", "58 MS/m", "41 kg/km", "5 mS/m", "1 m^-3", "2 kg*m^2/s^3/A", "100 ft"),
)
SWEEPS = (
    "# MHz S RI R 50\n1 0.5 0.1\n2 0.4 0.2\n3 0.3 0.3\n",
    "! seen\n# GHz S DB R 75\n0.001 -1 10 ! one\n0.002 -2 20\n",
    "# Hz S MA R 50\n" + "".join(f"{n}e6 0.9 -10 0.1 80 0.1 80 0.9 -12\n" for n in range(1, 6)),
    "# MHz Z MA R 50\n1 75 10\n2 80 -20\n",
    "[Version] 2.0\n# MHz Y RI R 50\n[Number of Ports] 1\n[Network Data]\n1 0.02 0.01\n2 0.02 0.0\n[End]\n",
    "frequency MHz, R ohm, X ohm\n1, 50, -3\n2, 48, 5\n",
    "frequency MHz; |Z| ohm; angle deg\n1; 50; -3\n2; 48; 5\n",
)
POSITIONS = (
    "east (m),north (m)\n0,0\n0,20\n20,0\n",
    "element,east,north\n2,3 m,-20 ft\n1,0 m,18 ft 3 1/2 in\n",
    'east [ft],north\n0,0 m\n10.5,"20 m"\n',
)
PIECES = (
    *("0", "1", "-1", "1e999", "1e308", "1e-320", "nan", "inf", "-inf", "9" * 400, "0x10", "1_0", "1,5", "٣", "½"),
    *('""', '"', "'", "'''", '"""', "[", "]", "{", "}", "[[", "=", ".", ",", ";", "#", "!", "\\", "\\u0000", "true"),
    *("\x00", "\x85", "\u2028", "\ufeff", "\r", "\t", "\x1b[2J", "\ud7ff", "🦉", "é", "&lt;", "{{ 7*7 }}", "1/0"),
    *(" m", " ft", " MHz", " rad/s", " byte", " %", " dB", " deg", " ohm", "^9", "**9**9", " km^200*mm^-199"),
    *("1e15 MHz", "0 m", "1e60 m", "-20 m", "2 m 3 m", "90 deg", "1e300 deg", "0 ohm", "x" * 3000, "/dev/zero"),
    *("aligned", "endfire", "entered", "fewest-delays", "ladder", "ports", "joined", "off", "perfect", "2026-01-01"),
    *("<script>alert(1)</script>", "../../etc/passwd", "^-999999", "greatest-rdf"),
)
MARKUP = "<script>alert(1)</script>"


def damaged(chance: random.Random, text: str) -> str:
    """Return a text with one to four damages: pieces put in, taken out, swapped, repeated, or a value replaced."""
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        start = chance.randrange(len(text) + 1)
        stop = min(len(text), start + chance.choice((0, 0, 1, 3, 12, 60)))
        kind = chance.randrange(6)
        if kind == 0:
            text = text[:start] + chance.choice(PIECES) + text[stop:]
        elif kind == 1:
            text = text[:start] + text[stop:]
        elif kind == 2:
            text = text[:stop] + text[start:stop] * chance.choice((1, 2, 50)) + text[stop:]
        elif kind == 3:
            lines = text.split("\n")
            one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
            lines[one], lines[other] = lines[other], lines[one]
            text = "\n".join(lines)
        elif kind == 4:
            text = _replaced(chance, text)
        else:
            text = (
                text[:start]
                + chr(chance.choice((chance.randrange(1, 256), chance.randrange(1, 0xD800))))
                + text[start:]
            )
    return text


def _replaced(chance: random.Random, text: str) -> str:
    """Return a text with one of its words or quoted values replaced by a piece."""
    marks = [place for place, letter in enumerate(text) if letter in ' "=,\n']
    if len(marks) < 2:
        return text
    place = chance.randrange(len(marks) - 1)
    return text[: marks[place] + 1] + chance.choice(PIECES) + text[marks[place + 1] :]


# --- what a case does ------------------------------------------------------------------------------------


def _quantity(chance: random.Random, _: Path) -> Any:
    text = damaged(chance, chance.choice(QUANTITIES))
    read = wb.quantity(text)
    for unit in ("m", "MHz", "deg", "dB"):
        if read.is_compatible_with(unit):
            return wb.Quantity(text, unit)
    return read


def _sweep(chance: random.Random, _: Path) -> Any:
    text = damaged(chance, chance.choice(SWEEPS))
    raw = text.encode(chance.choice(("utf-8", "utf-8-sig", "latin-1")), errors="replace")
    return sweep_in(raw)


def _positions(chance: random.Random, folder: Path) -> Any:
    path = folder / "stakes.csv"
    path.write_bytes(damaged(chance, chance.choice(POSITIONS)).encode("utf-8", errors="replace"))
    return wb.read_positions(path)


def _cable(chance: random.Random, folder: Path) -> Any:
    path = folder / "reel.toml"
    text = chance.choice(sorted(shipped("cable_data").glob("*.toml"))).read_text(encoding="utf-8")
    path.write_bytes(damaged(chance, text).encode("utf-8", errors="replace"))
    cable = load_cable(path)
    hertz = wb.Quantity(np.geomspace(1e4, 1e9, 7), "Hz")
    return cable.velocity_factor(hertz), cable.attenuation(hertz), cable.characteristic_impedance(hertz)


DESIGNS = tuple(path.read_text(encoding="utf-8") for path in sorted(shipped("notebooks").glob("*square*.toml")))


def _design(chance: random.Random, folder: Path) -> Any:
    path = folder / "design.toml"
    path.write_bytes(damaged(chance, chance.choice(DESIGNS)).encode("utf-8", errors="replace"))
    design = wb.load_design(path)
    written = json.loads(json.dumps(design.plan().to_dict(), allow_nan=False))
    changed = design.changed({("phasing", "elevation"): "23 deg"})
    assert "23 deg" in changed.text
    return written


def _page(chance: random.Random, folder: Path) -> Any:
    """Names of every kind on the written pages: all markup of them is escaped."""
    path, name = folder / "design.toml", damaged(chance, MARKUP)[:80]
    quoted = json.dumps(name)
    text = chance.choice(DESIGNS).replace('name = "', f"name = {quoted} # ", 1)
    path.write_bytes(text.encode("utf-8", errors="replace"))
    plan = wb.load_design(path).plan()
    pages = (labels(plan), build_sheet(plan)) if chance.random() < 0.3 else (labels(plan),)
    for page in pages:
        _Tags().feed(page)
    return plan.to_dict()


class _Tags(HTMLParser):
    """A reader of pages that refuses what their templates do not have."""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag not in ("script", "iframe", "object", "embed", "link", "img"), tag
        for name, value in attrs:
            assert not name.startswith("on"), name
            assert "javascript:" not in (value or ""), value


KINDS: Mapping[str, tuple[Callable[[random.Random, Path], Any], float]] = {
    "quantity text": (_quantity, 0.46),
    "sweep file": (_sweep, 0.2),
    "positions file": (_positions, 0.15),
    "cable file": (_cable, 0.1),
    "design file": (_design, 0.08),
    "written page": (_page, 0.01),
}
"""What is tried, and its share of all cases."""


# --- one case ---------------------------------------------------------------------------------------------


def _numbers(value: Any, depth: int = 6) -> Iterator[float]:
    """Yield every number of a result."""
    if hasattr(value, "magnitude"):
        value = value.magnitude
    if isinstance(value, (int, float, complex, np.ndarray, np.generic)) and not isinstance(value, bool):
        array = np.asarray(value)
        if array.dtype.kind in "fc":
            yield from np.abs(array).ravel().tolist()
    elif isinstance(value, Mapping) and depth:
        for part in value.values():
            yield from _numbers(part, depth - 1)
    elif isinstance(value, (list, tuple)) and depth:
        for part in value:
            yield from _numbers(part, depth - 1)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type) and depth:
        for field in dataclasses.fields(value):
            yield from _numbers(getattr(value, field.name), depth - 1)


def _fault(work: Callable[[random.Random, Path], Any], chance: random.Random, folder: Path) -> str | None:
    """Return what is wrong with a case's outcome; None where it is refused well or answers well."""
    begun = time.perf_counter()
    signal.setitimer(signal.ITIMER_REAL, 4 * SECONDS)
    try:
        found = work(chance, folder)
    except wb.InputError as error:
        for fault in error.faults:
            sentence = str(fault).replace(str(folder), "")
            if "\n" in sentence or not 5 < len(sentence) < 1200 or sentence[-1] not in ".?":
                return f"an unreadable refusal: {sentence[:200]!r}"
    except Exception as error:
        return f"{type(error).__name__}: {str(error)[:200]}"
    else:
        if not all(math.isfinite(number) for number in _numbers(found)):
            return "not a number, or infinity, in the answer"
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
    seconds = time.perf_counter() - begun
    return f"{seconds:.1f} s" if seconds > SECONDS else None


def _alarm(_signal: int, _frame: Any) -> None:
    raise TimeoutError(f"longer than {4 * SECONDS:g} s")


@pytest.fixture
def bounded() -> Iterator[None]:
    """An alarm that ends a case, and a limit to the memory that cases may take."""
    taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    limits, alarm = resource.getrlimit(resource.RLIMIT_AS), signal.signal(signal.SIGALRM, _alarm)
    resource.setrlimit(resource.RLIMIT_AS, (taken + MEMORY, limits[1]))
    yield
    resource.setrlimit(resource.RLIMIT_AS, limits)
    signal.signal(signal.SIGALRM, alarm)


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_text_is_refused_in_words_or_answered(request, bounded, own_cables, tmp_path, monkeypatch, kind):
    monkeypatch.chdir(tmp_path)
    work, share = KINDS[kind]
    faults = {}
    for number in range(max(1, round(share * request.config.getoption("--campaign")))):
        fault = _fault(work, random.Random(f"{kind} {number}"), tmp_path)
        if fault:
            faults.setdefault(fault, number)
    assert not faults, "\n".join(f"case {number}: {fault}" for fault, number in faults.items())


@pytest.mark.parametrize("kind", KINDS)
def test_texts_that_are_not_damaged_are_answered(bounded, own_cables, tmp_path, monkeypatch, kind):
    """Otherwise every case is refused for what was not damaged, and the campaign proves nothing."""
    monkeypatch.setattr(f"{__name__}.damaged", lambda chance, text: text)
    for number in range(6):
        KINDS[kind][0](random.Random(number), tmp_path)
