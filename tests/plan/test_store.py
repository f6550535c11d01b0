"""Changing and saving a design: comments stay, nothing is lost, nothing is half-written."""

import dataclasses
import difflib
import hashlib
import os
import stat
import tempfile
import threading
import tomllib
from pathlib import Path

import pytest

import workbook as wb

TEXT = """\
# A note at the top: Ängste, ½″ and 🦉 are text too.
format = 1
name = 'Otter Mead'              # quotes of the other kind

bands."160 m" = "1.83 MHz"       # a dotted key
bands."80 m" = "3.65 MHz"
hub = { kind = "joined", position = ["0 m", "0 m"] } # a table on one line

[array]
kind = "ring"
count = 8
diameter = "42 m"                # across
first_azimuth = "0 deg"

[ends.delay_line]                # a table before and one after the others
delay = "0.11 ns"
strip = "14 mm"

[phasing]
rule = "aligned"
  elevation = "20 deg"           # indented
cut_band = "160 m"

[[directions]]
name = "north-east"
azimuth = "45 deg"   # first

[[directions]]
name = "half-way"
azimuth = "22.5 deg" # second

[cables]
element_run = "series-6-copper"
delay_line = "series-6-copper"

[lengths]
slack = "1 m"

[ends.element_run]
strip = "14 mm"

[cutting]
trim = "10 cm"
# [velocity_factor]
# "series-6-copper" = { value = 0.829, frequency = "1.83 MHz" }
"""
DIAMETER = ("array", "diameter")


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "otter-mead.toml"
    path.write_bytes(TEXT.encode())
    return path


def moved(before: bytes, after: bytes) -> list[str]:
    """Return the lines that differ, with their line ends."""
    old, new = (raw.decode().splitlines(keepends=True) for raw in (before, after))
    return [line for line in difflib.ndiff(old, new) if line[0] in "+-"]


def names(folder: Path) -> set[str]:
    return {found.name for found in folder.iterdir()}


# --- what is kept -----------------------------------------------------------------------------------------


def test_saving_what_was_read_changes_no_byte(path):
    wb.load_design(path).save()
    assert path.read_bytes() == TEXT.encode()


def test_only_the_changed_value_changes(path):
    wb.load_design(path).changed({DIAMETER: "44 m"}).save()
    assert moved(TEXT.encode(), path.read_bytes()) == [
        '- diameter = "42 m"                # across\n',
        '+ diameter = "44 m"                # across\n',
    ]


CHANGES = {
    "a number": {("array", "count"): 6},
    "a text in other quotes": {("name",): "Heron Fen"},
    "an indented line": {("phasing", "elevation"): "25 deg"},
    "a dotted key": {("bands", "160 m"): "1.85 MHz"},
    "a new dotted key": {("bands", "40 m"): "7.1 MHz"},
    "a key of a one-line table": {("hub", "kind"): "ports"},
    "a list": {("hub", "position"): ["1 m", "-2 m"]},
    "a table given in two places": {("ends", "element_run", "delay"): "0.2 ns"},
    "a new key": {("cutting", "accept"): "2 deg"},
    "a new table": {("velocity_factor", "series-6-copper"): {"value": 0.829, "frequency": "1.83 MHz"}},
    "a new table key by key": {
        ("velocity_factor", "series-6-copper", "value"): 0.829,
        ("velocity_factor", "series-6-copper", "frequency"): "1.83 MHz",
    },
    "a key taken out": {("array", "first_azimuth"): None},
    "a band taken out": {("bands", "80 m"): None},
    "a key that is not there taken out": {("cutting", "accept"): None},
    "all directions": {("directions",): [{"name": "south", "azimuth": "180 deg"}]},
    "several": {DIAMETER: "44 m", ("bands", "160 m"): "1.85 MHz", ("lengths", "slack"): "2 m"},
}


@pytest.mark.parametrize("what", CHANGES)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_any_change_is_saved_and_the_rest_kept(path, what, line_end):
    before = TEXT.replace("\n", line_end).encode()
    path.write_bytes(before)
    design = wb.load_design(path)
    changed = design.changed(CHANGES[what])
    saved = changed.save()
    after = path.read_bytes()
    again = wb.load_design(path)
    assert again.content == changed.content == saved.content
    assert again.plan() == saved.plan()
    # every comment is still there, and only lines about the changed keys have moved
    comments = [line.partition("#")[2] for line in TEXT.splitlines() if "#" in line]
    assert [c for c in comments if c not in after.decode()] in ([], [" first", " second"])
    gone = [line for line in moved(before, after) if line[0] == "-"]
    assert len(gone) <= (len(CHANGES[what]) if what != "all directions" else 8)
    if line_end == "\r\n":
        assert after.count(b"\n") == after.count(b"\r\n"), moved(before, after)


def test_taking_out_what_is_not_there_adds_nothing(path):
    wb.load_design(path).changed({("velocity_factor", "series-6-copper"): None}).save()
    assert path.read_bytes() == TEXT.encode()


def test_setting_what_is_there_already_changes_no_byte(path):
    wb.load_design(path).changed({DIAMETER: "42 m", ("array", "count"): 8}).save()
    assert path.read_bytes() == TEXT.encode()


def test_a_change_and_back_is_no_change(path):
    design = wb.load_design(path)
    there_and_back = design.changed({DIAMETER: "44 m"}).changed({DIAMETER: "42 m"})
    assert there_and_back.text == design.text == TEXT
    assert there_and_back.content == design.content


def test_a_file_without_a_last_line_end(path):
    path.write_bytes(TEXT.rstrip("\n").encode())
    wb.load_design(path).changed({("velocity_factor", "series-6-clad"): {"value": 0.8, "frequency": "2 MHz"}}).save()
    assert wb.load_design(path).content.velocity_factor["series-6-clad"].value == 0.8


def test_a_mark_of_byte_order_is_kept_where_it_is_read(path):
    """A file that begins with one is refused when it is read, or it can be changed and saved like any other."""
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    try:
        design = wb.load_design(path)
    except wb.InputError:
        return
    design.changed({DIAMETER: "44 m"}).save()
    assert path.read_bytes() == b"\xef\xbb\xbf" + TEXT.replace('"42 m"', '"44 m"').encode()


def test_permissions_are_kept(path):
    path.chmod(0o640)
    wb.load_design(path).changed({DIAMETER: "44 m"}).save()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_stays_a_link(path, tmp_path):
    link = tmp_path / "current.toml"
    link.symlink_to(path)
    wb.load_design(link).changed({DIAMETER: "44 m"}).save()
    assert link.is_symlink()
    assert b"44 m" in path.read_bytes()


# --- a design in memory -----------------------------------------------------------------------------------


def test_a_change_leaves_the_design_and_the_file_alone(path):
    design = wb.load_design(path)
    other = design.changed({DIAMETER: "44 m"})
    assert design.content.array.diameter.m_as("m") == 42
    assert other.content.array.diameter.m_as("m") == 44
    assert path.read_bytes() == TEXT.encode()
    with pytest.raises(dataclasses.FrozenInstanceError):
        design.content = other.content


def test_changes_add_up(path):
    design = wb.load_design(path).changed({DIAMETER: "44 m"}).changed({("array", "count"): 6})
    assert len(design.plan().elements) == 6
    assert design.content.array.diameter.m_as("m") == 44
    assert 'diameter = "44 m"' in design.text
    assert "count = 6" in design.text


def test_the_fingerprint_is_the_file_s_until_something_changes(path):
    design = wb.load_design(path)
    assert design.sha256 == hashlib.sha256(TEXT.encode()).hexdigest()
    assert design.changed({}).sha256 == design.sha256
    other = design.changed({DIAMETER: "44 m"})
    assert other.sha256 != design.sha256
    saved = other.save()
    assert saved.sha256 == hashlib.sha256(path.read_bytes()).hexdigest() == saved.plan().design_sha256


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({DIAMETER: 44}, ["array.diameter", "44", "unit"]),
        ({DIAMETER: "44 MHz"}, ["array.diameter", "MHz"]),
        ({DIAMETER: None}, ["array", "diameter", "missing"]),
        ({("array", "diametre"): "44 m"}, ["diametre", "diameter"]),
        ({("array", "kind"): "row"}, ["array"]),
        ({("array", "diameter", "metres"): 44}, ["array.diameter"]),
        ({("name", "first"): "x"}, ["name"]),
        ({("directions", 0, "azimuth"): 45}, ["directions"]),
        ({(): "x"}, []),
        ({("cables", "delay_line"): "series-6"}, ["cables.delay_line", "series-6-copper"]),
    ],
)
def test_a_wrong_change_is_refused_and_nothing_happens(path, refused, changes, words):
    design = wb.load_design(path)
    refused(lambda: design.changed(changes), *words)
    assert design.text == TEXT
    assert path.read_bytes() == TEXT.encode()


def test_a_quantity_can_be_set_and_saved_or_is_refused_at_once(path):
    design = wb.load_design(path)
    try:
        other = design.changed({DIAMETER: wb.Quantity(44, "m")})
    except wb.InputError:
        return
    other.save()
    assert wb.load_design(path).content.array.diameter.m_as("m") == 44


# --- what is never lost -----------------------------------------------------------------------------------


def test_a_file_changed_since_it_was_read_is_not_overwritten(path, refused):
    design = wb.load_design(path).changed({DIAMETER: "44 m"})
    newer = TEXT.replace("1 m", "2 m").encode()
    path.write_bytes(newer)
    refused(design.save, "otter-mead.toml", "changed on disk", "load it again")
    assert path.read_bytes() == newer
    assert names(path.parent) == {path.name}


def test_after_saving_one_can_change_and_save_again(path):
    saved = wb.load_design(path).changed({DIAMETER: "44 m"}).save()
    assert saved.path == path
    saved.changed({DIAMETER: "46 m"}).save().changed({("array", "count"): 6}).save()
    assert wb.load_design(path).content.array.diameter.m_as("m") == 46
    assert names(path.parent) == {path.name}


def test_two_who_read_the_same_file_cannot_overwrite_each_other(path, refused):
    mine, yours = wb.load_design(path), wb.load_design(path)
    mine.changed({DIAMETER: "44 m"}).save()
    refused(yours.changed({DIAMETER: "46 m"}).save, "changed on disk")
    assert b"44 m" in path.read_bytes()


def test_a_file_that_was_deleted_is_written_anew(path):
    design = wb.load_design(path)
    path.unlink()
    design.save()
    assert path.read_bytes() == TEXT.encode()


def test_saving_elsewhere_leaves_the_first_file_alone(path, tmp_path):
    other = tmp_path / "other.toml"
    saved = wb.load_design(path).changed({DIAMETER: "44 m"}).save(other)
    assert saved.path == other
    assert path.read_bytes() == TEXT.encode()
    assert b"44 m" in other.read_bytes()
    saved.changed({DIAMETER: "46 m"}).save()
    assert b"46 m" in other.read_bytes()
    assert path.read_bytes() == TEXT.encode()
    wb.load_design(path).save(str(tmp_path / "third.toml"))
    assert (tmp_path / "third.toml").read_bytes() == TEXT.encode()


def test_another_file_is_not_overwritten(path, tmp_path, refused):
    other = tmp_path / "other.toml"
    other.write_text("precious", encoding="utf-8")
    refused(lambda: wb.load_design(path).save(other), "other.toml", "already there")
    assert other.read_text(encoding="utf-8") == "precious"
    assert names(tmp_path) == {path.name, other.name}


@pytest.mark.parametrize(
    "target",
    ["nowhere/design.toml", "otter-mead.toml/design.toml", "folder", "x" * 300 + ".toml", "nul\0.toml"],
)
def test_where_nothing_can_be_written(path, tmp_path, refused, target):
    (tmp_path / "folder").mkdir()
    refused(lambda: wb.load_design(path).save(tmp_path / target))
    assert path.read_bytes() == TEXT.encode()
    assert names(tmp_path) == {path.name, "folder"}


def test_no_name_to_save_to(path, refused):
    design = wb.load_design(path)
    refused(dataclasses.replace(design, path=None).save, "path", "name")
    refused(lambda: design.save(""))


def broken(*_args, **_kwargs):
    raise PermissionError(13, "Permission denied")


@pytest.mark.parametrize("step", ["replace", "fsync", "mkstemp"])
def test_a_failure_while_saving_leaves_the_old_file_whole(path, monkeypatch, refused, step):
    """A full disk, a folder that may only be read, a network that drops: whatever step fails."""
    design = wb.load_design(path).changed({DIAMETER: "44 m"})
    monkeypatch.setattr(tempfile if step == "mkstemp" else os, step, broken)
    refused(design.save, "otter-mead.toml", "cannot be written", "Permission denied")
    monkeypatch.undo()
    assert path.read_bytes() == TEXT.encode()
    assert names(path.parent) == {path.name}
    design.save()
    assert b"44 m" in path.read_bytes()


NEW = """
[ground]                         # clay
relative_permittivity = 20
conductivity = "8 mS/m"

[site]                           # west of here
latitude = "52.4 deg"
longitude = "1.1 deg"
date = 2026-05-01                # a day, not a text

[match]
way = "best"                     # whatever comes first
"""


def test_ground_site_and_match_are_kept_when_something_else_changes(path):
    path.write_text(TEXT + NEW, encoding="utf-8")
    design = wb.load_design(path)
    saved = design.changed({DIAMETER: "44 m", ("ground", "conductivity"): "10 mS/m"}).save()
    after = path.read_text(encoding="utf-8")
    assert after == (TEXT + NEW).replace('"42 m"', '"44 m"').replace('"8 mS/m"', '"10 mS/m"')
    assert saved.content == wb.load_design(path).content
    assert saved.plan().ground.conductivity_s_per_m == pytest.approx(0.01)
    assert saved.plan().declination_deg == design.plan().declination_deg


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({("ground", "kind"): "sea water"}, 'kind = "sea water"'),
        ({("site", "declination"): "-3 deg"}, 'declination = "-3 deg"'),
        (
            {("site", "latitude"): "52 deg", ("site", "longitude"): "1 deg", ("site", "date"): "2026-05-01"},
            'date = "2026-05-01"',
        ),
        ({("match", "way"): "best"}, "[match]"),
        ({("hub", "source_impedance"): "75 ohm", ("hub", "port_impedance"): "80 ohm"}, 'port_impedance = "80 ohm"'),
        ({("phasing", "rule"): "endfire", ("phasing", "null_elevation"): "30 deg"}, 'null_elevation = "30 deg"'),
        (
            {("phasing", "rule"): "greatest-rdf", ("phasing", "least_white_noise_gain"): "-3 dB"},
            'least_white_noise_gain = "-3 dB"',
        ),
        ({("phasing", "rule"): "fewest-delays", ("phasing", "lines"): 1}, "lines = 1"),
    ],
)
def test_new_tables_and_keys_can_be_set_saved_and_taken_out_again(path, changes, word):
    design = wb.load_design(path)
    assert word not in TEXT
    saved = design.changed(changes).save()
    assert word in path.read_text(encoding="utf-8")
    assert wb.load_design(path).content == saved.content != design.content
    back = {key: "aligned" if key[1] == "rule" else None for key in changes}
    tables = {(key[0],): None for key in changes if key[0] in ("ground", "site", "match")}
    assert saved.changed({**back, **tables}).content == design.content


def test_leaving_a_rule_s_keys_behind_is_refused(path, refused):
    greatest = {("phasing", "rule"): "greatest-rdf", ("phasing", "least_white_noise_gain"): "-3 dB"}
    saved = wb.load_design(path).changed(greatest).save()
    refused(lambda: saved.changed({("phasing", "rule"): "aligned"}), "least_white_noise_gain", "take it out")


def test_positions_beside_the_file_are_found_after_a_change(path, tmp_path):
    (tmp_path / "stakes.csv").write_text("east (m),north (m)\n0,0\n0,20\n20,0\n")
    table = 'kind = "custom"\npositions_file = "stakes.csv"\n'
    before, rest = TEXT.split('kind = "ring"\n')
    path.write_text(before + table + rest[rest.index("\n[ends.delay_line]") :], encoding="utf-8")
    saved = wb.load_design(path).changed({("phasing", "elevation"): "25 deg"}).save()
    assert len(saved.plan().elements) == 3
    assert "stakes.csv" in path.read_text(encoding="utf-8")


# --- under attack -----------------------------------------------------------------------------------------


def test_of_two_who_save_at_the_same_instant_one_succeeds_and_nothing_of_his_is_lost(path):
    for race in range(40):
        together, saved, refused = threading.Barrier(2), [], []
        changes = ({("array", "diameter"): f"{50 + race} m"}, {("phasing", "elevation"): f"{21 + race} deg"})
        designs = [wb.load_design(path).changed(each) for each in changes]

        def save(number, together=together, saved=saved, refused=refused, designs=designs):
            together.wait()
            try:
                designs[number].save()
                saved.append(number)
            except wb.InputError as error:
                refused.append(str(error))

        writers = [threading.Thread(target=save, args=(number,)) for number in (0, 1)]
        for writer in writers:
            writer.start()
        for writer in writers:
            writer.join()
        assert len(saved) == len(refused) == 1
        assert "changed on disk since it was read; load it again" in refused[0]
        assert path.read_text(encoding="utf-8") == designs[saved[0]].text


def test_a_design_is_saved_where_it_was_read_whatever_the_working_folder_is(path, tmp_path, monkeypatch):
    monkeypatch.chdir(path.parent)
    design = wb.load_design(path.name)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    assert design.changed({("array", "diameter"): "43 m"}).save().path == path
    assert "43 m" in path.read_text(encoding="utf-8")
    assert list(Path.cwd().iterdir()) == []


def test_a_write_protected_design_is_not_overwritten(path, refused):
    path.chmod(0o444)
    before = path.read_bytes()
    refused(lambda: wb.load_design(path).changed({("array", "diameter"): "43 m"}).save(), "write-protected")
    assert path.read_bytes() == before


ENDS = ("ends", "delay_line", "delay")
SMALL = """\
name = "Otter Mead"
bands = { "160 m" = "1.83 MHz" }
array = { kind = "square", side = "24 m" }
phasing.rule = "aligned"
[[directions]]
name = "north"
azimuth = "0 deg"
[cables]
delay_line = "series-6-copper"  # of one reel
"""
FORMS = {
    "inline": 'ends = { delay_line = { delay = "0.1 ns" } }',
    "inline and dotted": 'ends = { delay_line.delay = "0.1 ns" }',
    "dotted": 'ends.delay_line.delay = "0.1 ns"',
    "dotted to inline": 'ends.delay_line = { delay = "0.1 ns" }',
    "empty": "ends = {}",
}


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("form", FORMS)
def test_keys_three_levels_down_change_however_their_table_is_written(tmp_path, form, line_end):
    file = tmp_path / "design.toml"
    text = f"{FORMS[form]}\n{SMALL}".replace("\n", line_end)
    file.write_bytes(text.encode())
    changes = {ENDS: "0.2 ns", ("ends", "element_run", "delay"): "0.3 ns", ("ends", "element_run", "strip"): "1 mm"}
    design = wb.load_design(file)
    for key, value in changes.items():
        design = design.changed({key: value})
    design.changed({ENDS: None}).changed({ENDS: "0.2 ns"}).save()
    held = tomllib.loads(file.read_bytes().decode())
    assert held["ends"] == {"delay_line": {"delay": "0.2 ns"}, "element_run": {"delay": "0.3 ns", "strip": "1 mm"}}
    assert {key: value for key, value in held.items() if key != "ends"} == {
        key: value for key, value in tomllib.loads(text).items() if key != "ends"
    }
    assert file.read_bytes().count(b"\n") == file.read_bytes().count(line_end.encode())


def test_what_is_set_stays_the_caller_s_own(path):
    ends = {"delay": "0.1 ns"}
    design = wb.load_design(path).changed({("ends", "element_run"): ends})
    design.changed({("ends", "element_run", "strip"): "1 mm"})
    assert ends == {"delay": "0.1 ns"}


def test_mixed_line_ends_stay_as_they_are(path):
    lines = path.read_bytes().replace(b"\r\n", b"\n").split(b"\n")
    mixed = b"".join(line + (b"\r\n" if number % 3 else b"\n") for number, line in enumerate(lines[:-1]))
    path.write_bytes(mixed)
    wb.load_design(path).changed({("array", "diameter"): "43 m"}).save()
    assert path.read_bytes() == mixed.replace(b'"42 m"', b'"43 m"')


@pytest.mark.parametrize("named", ["../secret.csv", "link.csv", "{folder}/secret.csv", "sub/../../secret.csv"])
def test_no_file_outside_the_design_s_folder_is_read_or_quoted(tmp_path, refused, named):
    (tmp_path / "secret.csv").write_text("SECRET:x:0\n", encoding="utf-8")
    folder = tmp_path / "designs"
    (folder / "sub").mkdir(parents=True)
    (folder / "link.csv").symlink_to(tmp_path / "secret.csv")
    table = f'[array]\nkind = "custom"\npositions_file = "{named.format(folder=tmp_path)}"\n\n'
    before, after = TEXT.split("[array]")
    text = f"{before}{table}[ends.delay_line]{after.split('[ends.delay_line]')[1]}"
    (folder / "design.toml").write_text(text, encoding="utf-8")
    said = refused(lambda: wb.load_design(folder / "design.toml"), "outside the design's folder")
    assert "SECRET" not in said
