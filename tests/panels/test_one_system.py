"""Every worksheet shows lengths in one system alone, that of the design or of the switch, wherever there is text."""

import contextlib
import html
import re
from collections.abc import Iterator

import ipywidgets as widgets
import pytest
from length_words import feet, metric
from sheets import SHEETS, Sheet, settle

import workbook as wb
from workbook import panels
from workbook.formatting import LengthUnits
from workbook.panels.picture import Picture
from workbook.worksheets import STATE

ALL = SHEETS | {"00": panels.start}
WITHOUT_SWITCH = {"14"}
"""Worksheets that show no length."""
VIEWS = ("picture", "fault", "given", "way", "kind")
"""Choices of what is shown, each of which is looked at."""
EVERY_BAND = {"04", "05", "06", "reel"}
"""Worksheets on all bands, not those of the design alone."""
MORE = """
[front_end]
height = "6 m"
diameter = "20 mm"

[prices]
"series-6-copper" = { price = 95, per = "305 m" }

[[stock]]
label = "R1"
cable = "series-6-copper"
length = "305 m"
"""


@pytest.fixture
def shown(folder, own_cables, monkeypatch, tmp_path_factory):
    """Opens a worksheet on a design whose file is in metres, in a system of the file or of the switch."""
    monkeypatch.setenv(STATE, str(tmp_path_factory.mktemp("state")))
    monkeypatch.setattr("workbook.panels.start_page.SOON", 120.0)
    monkeypatch.chdir(folder)
    text = (folder / "heron-fen-ring.toml").read_text() + MORE
    for other in folder.glob("*.toml"):
        other.unlink()

    def opened(name: str, units: str, by_file: bool) -> Sheet:
        (folder / "array.toml").write_text(f'units = "{units}"\n{text}' if by_file else text)
        sheet = Sheet(ALL[name](folder))
        if not by_file and name not in WITHOUT_SWITCH:
            sheet.move("units", LengthUnits(units))
        settle()
        return sheet

    return opened


def words(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Yield all that can be read of a worksheet, with where it stands."""
    for each in sheet.everything():
        where = each._dom_classes[0] if each._dom_classes else type(each).__name__
        if where == "units":
            continue  # it names both systems
        yield from ((where, getattr(each, part, "")) for part in ("description", "tooltip", "placeholder"))
        if isinstance(each, widgets.Text | widgets.Textarea):
            yield where, each.value
        elif isinstance(each, widgets.Dropdown | widgets.SelectionSlider) and where != "new-units":
            yield from ((where, label) for label in each._options_labels)
        elif isinstance(each, widgets.HTML):
            yield from ((where, text) for text in _read(each.value.split("</style>")[-1]))
        elif isinstance(each, Picture):
            yield from ((where, text) for text in (each.describes, *_read(each.svg)))
        elif isinstance(each, widgets.Accordion):
            yield from ((where, title) for title in each.titles)


def _read(page: str) -> Iterator[str]:
    """Yield the texts of a page or a picture, and what its parts show when pointed at."""
    yield from map(html.unescape, re.findall(r'\b(?:title|data-heading|aria-label)="([^"]*)"', page))
    for part in re.split(r"</?(?!span|small|b|i|sub)[a-z]\w*[^>]*>", page):
        yield html.unescape(re.sub("<[^>]*>", "", part))


def views(sheet: Sheet) -> Iterator[None]:
    """Show one by one what the choices of what is shown offer."""
    yield
    for name in VIEWS:
        control = sheet.controls.get(name)
        if isinstance(control, widgets.Dropdown) and control.layout.display != "none":
            for value in dict(control._options_full).values():
                sheet.controls[name].value = value
                settle()
                yield


@pytest.mark.parametrize("by_file", [True, False], ids=["file", "switch"])
@pytest.mark.parametrize(("units", "hidden"), [("feet", metric), ("metric", feet)], ids=["feet", "metric"])
@pytest.mark.parametrize("name", ALL)
def test_all_text_is_in_one_system(shown, name, units, hidden, by_file):
    sheet = shown(name, units, by_file)
    bands = wb.bands() if name in EVERY_BAND else ("160 m", "80 m")
    found = set()
    for _ in views(sheet):
        found |= {(where, one) for where, text in words(sheet) for one in hidden(text or "", bands)}
    assert not found


def test_words_that_show_a_length_are_found():
    assert metric("24.500 m; along the reel (m); strap 50 mm; dB/100 m; dB/m; kHz per cm; last millimetre", ())
    for text in ("24.5 m", "reel (m)", "50 mm", "loss dB/100 m", "loss dB/m", "kHz per cm", "millimetre", "ohm/km"):
        assert metric(text, ("160 m",)), text
    for text in ("RDF on 160 m", "200 ohm m", "5 mS/m", "20 mV/m", "1.84 MHz", "3.2 dB more"):
        assert not metric(text, ("160 m",)), text
    for text in ("80 ft", "3 1/2 in", "east (ft)", "1 inch", "diameter (in)", "8 in, 3"):
        assert feet(text, ()), text
    for text in ("8 in a ring", "in steps", "lengths in", "95 % of arrays in 3 blocks"):
        assert not feet(text, ()), text


# --- what a field shows is what the file gets ---------------------------------------------------------------


def lengths_of(text: str) -> set[float]:
    """Every length that a design file holds [mm], to a hundredth."""
    found = set()
    for written in re.findall(r'"([^"\n]*)"', re.sub(r"#.*", "", text)):
        with contextlib.suppress(wb.InputError):
            if (read := wb.quantity(written)).check("[length]") and written not in wb.bands():
                found.add(round(read.m_as("mm"), 2))
    return found


# metres are shown to the millimetre, and a size that follows another keeps what is behind it
@pytest.mark.parametrize(("units", "off_mm"), [("feet", 0.005), ("metric", 0.505)])
@pytest.mark.parametrize("name", ["01", "02", "03", "07", "09", "10", "11", "12"])
def test_a_length_that_is_slid_is_in_the_file_as_its_field_shows_it(shown, folder, name, units, off_mm):
    sheet, file = shown(name, units, by_file=False), folder / "array.toml"
    moved = 0
    for control in [each for each in sheet.controls if f"{each}-exact" in sheet.controls]:
        slider, before = sheet.controls[control], lengths_of(file.read_text())
        sheet.move(control, slider.min + round((slider.value - slider.min) / slider.step + 7) * slider.step)
        assert not sheet.refusals(), control
        fields = {each.value for each in sheet.everything() if "amount-field" in each._dom_classes}
        sheet.press("save")
        settle()
        written = lengths_of(file.read_text()) - before
        said = [length for text in fields for length in lengths_of(f'"{text}"')]
        assert all(min(abs(length - one) for one in said) <= off_mm for length in written), (control, fields)
        moved += bool(written)
    assert moved
