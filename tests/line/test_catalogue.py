"""Cable files: the bundled ones, the user's own, and what is wrong with a file."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import workbook as wb
from workbook.files import shipped
from workbook.tables.cables import data_sheet, listing

MUST = "series-6-clad series-6-copper series-11-clad series-11-copper rg-6-solid-pe rg-11-solid-pe".split()
MUST += ["rg-59-solid-pe", "rg-213-solid-pe"]


def bundled(name: str) -> str:
    return (shipped("cable_data") / f"{name}.toml").read_text(encoding="utf-8")


def with_change(name: str, old: str, new: str) -> str:
    text = bundled(name)
    assert old in text, f"{name} no longer says {old!r}"
    return text.replace(old, new, 1)


def test_names_are_sorted_and_complete():
    assert list(wb.cables()) == sorted(wb.cables())
    assert set(MUST) <= set(wb.cables())


@pytest.mark.parametrize("name", MUST)
def test_a_cable_has_its_name_and_its_record(name):
    cable = wb.cable(name)
    assert cable.name == name
    assert cable.record.unknown
    assert cable.nominal_impedance.units == wb.Quantity(1, "ohm").units
    assert name in data_sheet(cable)


def test_the_user_s_file_hides_the_bundled_one(own_cables):
    (own_cables / "meadow-75.toml").write_text(bundled("series-6-copper"), encoding="utf-8")
    slower = with_change("series-6-copper", "{ value = 0.85", "{ value = 0.80")
    (own_cables / "series-6-copper.toml").write_text(slower, encoding="utf-8")
    assert "meadow-75" in wb.cables()
    assert set(MUST) <= set(wb.cables())
    assert wb.cable("meadow-75").nominal_velocity_factor == 0.85
    assert wb.cable("series-6-copper").nominal_velocity_factor == 0.80
    origin = {row[0]: row[1] for row in listing().rows}
    assert origin["meadow-75"] == "your own"
    assert origin["series-6-copper"] == "your own, hides the bundled one"
    assert origin["series-6-clad"] == "bundled"


def test_a_file_is_read_again_when_it_changes(own_cables):
    path = own_cables / "meadow-75.toml"
    path.write_text(bundled("series-6-copper"), encoding="utf-8")
    before = path.stat()
    assert wb.cable("meadow-75").nominal_velocity_factor == 0.85
    path.write_text(with_change("series-6-copper", "{ value = 0.85", "{ value = 0.81"), encoding="utf-8")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns + 1))
    assert wb.cable("meadow-75").nominal_velocity_factor == 0.81
    path.unlink()
    assert "meadow-75" not in wb.cables()


def test_the_user_s_folder_may_be_missing(monkeypatch, tmp_path):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "nowhere"))
    assert set(MUST) <= set(wb.cables())


def test_without_the_variable_the_platform_s_folder_is_read(tmp_path):
    """In a process of its own, since the home folder is the user's."""
    home = tmp_path / "share"
    folder = home / "feedline-workbook" / "cables"
    folder.mkdir(parents=True)
    (folder / "meadow-75.toml").write_text(bundled("series-6-copper"), encoding="utf-8")
    script = (
        "import os, platformdirs, workbook as wb; "
        "platformdirs.user_data_dir = lambda name: os.path.join(os.environ['SHARE'], name); "
        "print('meadow-75' in wb.cables())"
    )
    environment = {**os.environ, "SHARE": str(home)}
    environment.pop("FEEDLINE_WORKBOOK_CABLES")
    done = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "True"


@pytest.mark.parametrize(
    "text", ["", "nonsense", "standard_type = 5", '\ufeffstandard_type = "x"', "a = " + "[" * 3000]
)
def test_a_broken_file_leaves_the_others_readable(own_cables, refused, text):
    (own_cables / "broken.toml").write_text(text, encoding="utf-8")
    assert "broken" in wb.cables()
    assert wb.cable("series-6-copper").name == "series-6-copper"
    refused(lambda: wb.cable("broken"), "broken.toml")
    rows = {row[0]: row for row in listing().rows}
    assert "broken.toml" in rows["broken"][-1]
    assert rows["series-6-copper"][-1] == wb.cable("series-6-copper").record.standard_type


def test_a_folder_named_like_a_cable_is_refused(own_cables, refused):
    (own_cables / "odd.toml").mkdir()
    refused(lambda: wb.cable("odd"), "odd.toml")


CLAD, BRAID = "series-6-clad", "rg-213-solid-pe"
LAST = '[sources]\nscte-74 = { citation = "'
POINT = '[[attenuation]]\nfrequency = "{}"\nloss = "{}"\nstatus = "{}"\nsource = "{}"\n\n'

# what is changed in a bundled file, and the words the refusal needs
WRONG = {
    "a bare number": (CLAD, '"0.0403 in"', "0.0403", ["centre.diameter.value", "0.0403", "unit"]),
    "no unit": (CLAD, '"0.0403 in"', '"0.0403"', ["centre.diameter.value", "without a unit"]),
    "a unit of another kind": (CLAD, '"0.0403 in"', '"0.0403 ohm"', ["centre.diameter.value", "m"]),
    "an unknown unit": (CLAD, '"0.0403 in"', '"0.0403 inn"', ["centre.diameter.value", "inn"]),
    "a decimal comma": (CLAD, '"0.0403 in"', '"0,0403 in"', ["centre.diameter.value", "comma"]),
    "a negative length": (CLAD, '"0.0403 in"', '"-0.0403 in"', ["centre.diameter.value", "above"]),
    "resistance per nothing": (CLAD, '"4.5 ohm/1000 ft"', '"4.5 ohm"', ["shield.dc_resistance.value", "ohm/m"]),
    "loss per nothing": (CLAD, '"0.58 dB/100 ft"', '"0.58 dB"', ["attenuation[1].loss", "dB/m"]),
    "velocity in per cent": (CLAD, "{ value = 0.85,", "{ value = 85,", ["nominal_velocity_factor", "0.85"]),
    "velocity as text": (CLAD, "{ value = 0.85,", '{ value = "0.85",', ["nominal_velocity_factor.value", "0.85"]),
    "velocity as a list": (CLAD, "{ value = 0.85,", "{ value = [],", ["nominal_velocity_factor.value"]),
    "velocity of light": (CLAD, "{ value = 0.85,", "{ value = 1.0,", ["velocity"]),
    "cladding thicker than the radius": (CLAD, '"35 um"', '"0.6 mm"', ["centre", "cladding", "radius"]),
    "cladding out of order": (CLAD, '"15 um"', '"50 um"', ["centre.cladding", "order"]),
    "steel out of order": (CLAD, "value = 200.0", "value = 600.0", ["centre.steel_permeability", "order"]),
    "steel below 1": (CLAD, "value = 50.0", "value = 0.5", ["steel", "permeability"]),
    "steel without end": (CLAD, "value = 500.0", "value = inf", ["centre.steel_permeability"]),
    "steel as text": (CLAD, "value = 50.0", 'value = "50"', ["centre.steel_permeability.least.value"]),
    "dielectric inside the centre": (CLAD, '"0.180 in"', '"0.04 in"', ["dielectric", "centre"]),
    "loss tangent not a number": (CLAD, "value = 0.0002", "value = nan", ["dielectric.loss_tangent.value"]),
    "loss tangent below zero": (CLAD, "value = 0.0002", "value = -0.0002", ["dielectric.loss_tangent.value"]),
    "loss tangent as text": (CLAD, "value = 0.0002", 'value = "0.0002"', ["dielectric.loss_tangent.value"]),
    "loss tangent yes": (CLAD, "value = 0.0002", "value = true", ["dielectric.loss_tangent.value"]),
    "loss tangent of a resistor": (CLAD, "value = 0.0002", "value = 5", ["dielectric.loss_tangent.value"]),
    "braid factor below zero": (BRAID, "value = 2.48", "value = -2.48", ["shield.braid_factor.value"]),
    "braid factor not a number": (BRAID, "value = 2.48", "value = nan", ["shield.braid_factor.value"]),
    "no strands": (BRAID, "value = 7,", "value = 0,", ["centre.strands.value"]),
    "strands as text": (BRAID, "value = 7,", 'value = "7",', ["centre.strands.value"]),
    "unknown source": (CLAD, 'source = "reel"', 'source = "reels"', ["reels", "sources"]),
    "unknown source of a point": (CLAD, 'source = "drop-hf"', 'source = "drop"', ["drop", "sources"]),
    "unknown material": (CLAD, '"copper-clad steel"', '"silver"', ["centre.material", "copper-clad steel"]),
    "unknown shield": (CLAD, 'material = "aluminium"', 'material = "tin"', ["shield.material", "aluminium"]),
    "unknown status": (CLAD, 'status = "measured"', 'status = "guessed"', ["attenuation", "status", "measured"]),
    "unknown key": (CLAD, "[jacket]", "[jackett]", ["jackett", "jacket"]),
    "unknown key inside": (CLAD, "loss_tangent =", "loss_tangant =", ["dielectric", "loss_tangant", "loss_tangent"]),
    "a cladding on copper": (CLAD, '"copper-clad steel"', '"copper"', ["centre", "copper-clad steel"]),
    "clad without steel": (BRAID, 'material = "copper"', 'material = "copper-clad steel"', ["centre", "cladding"]),
    "seen maybe": (CLAD, "seen = false", 'seen = "false"', ["sources.scte-74.seen"]),
    "a list for a table": (CLAD, "[dielectric]", "[[dielectric]]", ["dielectric", "table"]),
    "a number for text": (CLAD, 'material = "foamed polyethylene"', "material = 5", ["dielectric.material", "5"]),
    "points out of order": (
        CLAD,
        '[[attenuation]]\nfrequency = "211 MHz"',
        POINT.format("500 MHz", "5 dB/100 ft", "standard maximum", "scte-74")
        + '[[attenuation]]\nfrequency = "211 MHz"',
        ["211", "500", "rising order"],
    ),
    "the same point twice": (
        CLAD,
        '[[attenuation]]\nfrequency = "211 MHz"',
        POINT.format("211 MHz", "3.05 dB/100 ft", "standard maximum", "scte-74")
        + '[[attenuation]]\nfrequency = "211 MHz"',
        ["211", "order"],
    ),
    "a falling loss": (CLAD, '"3.05 dB/100 ft"', '"1.05 dB/100 ft"', ["211", "falls", "disputed"]),
    "text after the end": (CLAD, "[jacket]", "[jacket", ["TOML", "line"]),
    "a key twice": (CLAD, "[jacket]", "[shield]", ["TOML"]),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_file_is_refused_by_file_key_and_remedy(own_cables, refused, what):
    name, old, new, words = WRONG[what]
    path = own_cables / "mine.toml"
    path.write_text(with_change(name, old, new), encoding="utf-8")
    with pytest.raises(wb.InputError) as caught:
        wb.cable("mine")
    assert str(caught.value).startswith(f"{path}: ")
    sentence = refused(lambda: wb.cable("mine"), *words)
    for jargon in ("dictionary", "tuple", "instance", "unable to", "discriminator", "validat"):
        assert jargon not in sentence


REQUIRED = {
    "standard_type": ("standard_type = ", ["standard_type"]),
    "impedance": ("impedance = ", ["impedance"]),
    "nominal_velocity_factor": ("nominal_velocity_factor = ", ["nominal_velocity_factor"]),
    "centre.material": ('material = "copper-clad steel"', ["centre", "material"]),
    "centre.diameter": ('diameter = { value = "0.0403 in"', ["centre", "diameter"]),
    "centre.cladding.least": ("cladding.least = ", ["centre.cladding", "least"]),
    "centre.steel_conductivity": ("steel_conductivity = ", ["centre", "steel_conductivity"]),
    "dielectric.loss_tangent": ("loss_tangent = ", ["dielectric", "loss_tangent"]),
    "shield.layers": ("layers = ", ["shield", "layers"]),
    "attenuation.status": ('status = "standard maximum"', ["attenuation[1]", "status"]),
}


@pytest.mark.parametrize("what", REQUIRED)
def test_a_missing_key_is_named_with_its_example(own_cables, refused, what):
    start, words = REQUIRED[what]
    lines = bundled(CLAD).splitlines(keepends=True)
    found = next(number for number, line in enumerate(lines) if line.startswith(start))
    (own_cables / "mine.toml").write_text("".join(lines[:found] + lines[found + 1 :]), encoding="utf-8")
    refused(lambda: wb.cable("mine"), "mine.toml", *words)


def test_a_file_of_another_encoding_is_refused(own_cables, refused):
    (own_cables / "mine.toml").write_bytes(bundled(CLAD).encode("utf-16"))
    refused(lambda: wb.cable("mine"), "mine.toml", "UTF-8")


def test_line_ends_do_not_matter(own_cables):
    (own_cables / "mine.toml").write_bytes(bundled(CLAD).replace("\n", "\r\n").encode())
    assert wb.cable("mine").attenuation("1.83 MHz") == wb.cable(CLAD).attenuation("1.83 MHz")


def test_a_broken_link_is_refused(own_cables, refused):
    (own_cables / "mine.toml").symlink_to(Path("nowhere.toml"))
    refused(lambda: wb.cable("mine"), "mine.toml", "cannot be read")


def test_the_list_of_cables_imports_no_more_than_it_needs():
    """Bessel functions, drawing, networks and the editing of files cost more time than the list itself."""
    script = "import sys; from workbook.cli import main; main(['cables']); print(*sys.modules, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    heavy = {
        "scipy.special",
        "scipy.stats",
        "scipy.optimize",
        "matplotlib",
        "skrf",
        "tomlkit",
        "pygeomag",
        "ipywidgets",
    }
    assert not set(done.stderr.split()) & heavy
    assert "series-6-clad" in done.stdout


@pytest.mark.parametrize("kind", ["not searchable", "too long", "loop", "file"])
def test_a_folder_of_own_cables_that_cannot_be_searched_leaves_the_others(tmp_path, monkeypatch, kind):
    folder = tmp_path / ("x" * 300 if kind == "too long" else "cables")
    if kind == "loop":
        folder.symlink_to(folder)
    elif kind == "file":
        folder.touch()
    elif kind == "not searchable":
        monkeypatch.setattr(Path, "glob", lambda self, pattern: _glob(self, pattern, folder))
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(folder))
    assert wb.cable("series-6-copper").nominal_velocity_factor == 0.85
    assert "series-6-clad" in wb.cables()


_GLOB = Path.glob


def _glob(path, pattern, closed):
    if path == closed:
        raise PermissionError(13, "Permission denied", str(path))
    return _GLOB(path, pattern)
