"""The panel *delay lines between real ports* with real widgets: every control does something, and nothing is lost."""

import pytest

import workbook as wb
from workbook.panels.real_ports import BY_LENGTH, FROM_ABOVE, SECOND, RealPortsPanel
from workbook.panels.skeleton import PREVIOUS

RING, SQUARE, ROW = (f"heron-fen-{name}.toml" for name in ("ring", "square", "row"))
# under which file each control is moved, where it stands, and to what
# which of both pictures draws it, if not both: one line has neither run nor tolerance, and a summed one the same ports


@pytest.fixture
def panel(folder):
    return RealPortsPanel(folder)


def shown(panel):
    other = "".join(page.value for title, page in panel.page.pages.items() if title != SECOND)
    return other, panel.errors.svg, panel.second.svg, panel.page.pages[SECOND].value


def refusal(panel) -> str:
    return panel.status.value if "refused" in panel.status.value.split("</style>")[1] else ""


def control(panel, path):
    found = panel.design_controls
    for name in path.split("."):
        found = getattr(found, name)
    return found


def bytes_of(folder):
    return {path: path.read_bytes() for path in folder.iterdir()}


def without_elevation(folder, delays):
    """The ring with entered delays."""
    text = (folder / RING).read_text()
    head = text[: text.index("[phasing]")] + '[phasing]\nrule = "entered"\ncut_band = "160 m"\n\n'
    return (
        f'{head}[[directions]]\nname = "north"\nazimuth = "0 deg"\ndelays = {delays}\n\n{text[text.index("[hub]") :]}'
    )


def test_the_length_of_one_line_moves_its_picture_and_its_numbers(panel, drawn):
    panel.design_controls.port.slider.value = 50.0
    panel.design_controls.source.slider.value = 50.0
    before = shown(panel)
    panel.design_controls.length.value = 90.0
    after = shown(panel)
    assert after[:2] == before[:2]
    assert drawn(after[2]) != drawn(before[2])
    assert after[3] != before[3]
    cable = wb.cable("series-6-copper")
    length = wb.physical_length("90 deg", "1.84 MHz", cable)
    assert f"{length.m_as('m'):.3f} m" in panel.page.pages[SECOND].value
    channels = [
        wb.Channel("50 ohm", cable, "0 m", None, None, "50 ohm"),
        wb.Channel("50 ohm", cable, "0 m", cable, length, "50 ohm"),
    ]
    error, level = wb.channel_errors(channels, wb.Quantity([0, 90 / 360 / 1.84], "us"), "1.84 MHz")
    assert f"{-error[1].m_as('degree'):+.2f}" in panel.page.pages[SECOND].value
    assert f"{level[1].m_as('dB'):+.2f}" in panel.page.pages[SECOND].value


@pytest.mark.parametrize("picture", [BY_LENGTH, FROM_ABOVE])
def test_the_band_shown_moves_the_second_picture_only(panel, drawn, picture):
    panel.picture.value = picture
    before = shown(panel)
    panel.design_controls.band.value = "80 m"
    after = shown(panel)
    assert after[:2] == before[:2]
    assert drawn(after[2]) != drawn(before[2])
    assert after[3] != before[3]
    assert "80 m" in panel.second.describes


def test_what_does_not_belong_to_the_picture_is_not_shown(panel):
    assert panel.design_controls.length.layout.display is None
    assert panel.design_controls.direction.layout.display == "none"
    panel.picture.value = FROM_ABOVE
    assert panel.design_controls.length.layout.display == "none"
    assert panel.design_controls.direction.layout.display is None
    panel.file.value = SQUARE
    assert panel.design_controls.length.layout.display == "none"


def test_a_file_without_ends_begins_at_75_ohm_and_says_so(panel, folder):
    assert "75 ohm at both ends" in panel.note.value
    assert "Channels between 75 and 75 ohm" in panel.page.value
    raw = bytes_of(folder)
    panel.file.value = ROW
    assert "75 ohm at both ends" not in panel.note.value
    assert panel.design_controls.changes() == {}
    assert "as it is" in panel.where.value
    assert (panel.design_controls.source.tolerance.value, panel.design_controls.port.tolerance.value) == (10.0, 5.0)
    assert bytes_of(folder) == raw


def test_ends_that_nobody_moved_are_no_change(panel):
    assert "until you set them" in panel.note.value
    assert "not saved" not in panel.where.value
    assert "as it is in the file; saving adds the assumed 75 ohm" in panel.where.value
    panel.design_controls.slack.value = 3.0
    assert "not saved" in panel.where.value
    assert "until you set them" in panel.note.value
    panel.design_controls.source.slider.value = 50
    assert "not saved" in panel.where.value
    assert "until you set them" not in panel.note.value


def test_a_direction_that_shares_its_row_with_others_is_told_by_itself(panel):
    panel.picture.value = FROM_ABOVE
    for direction in panel.design_controls.direction.options:
        panel.design_controls.direction.value = direction
        assert f"Beam {direction} on {panel.design_controls.band.value}: RDF in dB " in panel.page.pages[SECOND].value


def test_saving_writes_what_was_moved_and_the_saved_design_loads(panel, folder):
    path = folder / RING
    before = path.read_text()
    panel.design_controls.source.exact.value = "61.5"
    panel.design_controls.port.tolerance.value = 12.5
    panel.design_controls.band.value = "80 m"
    assert path.read_text() == before
    panel.save.click()
    assert "saved" in panel.status.value
    saved = wb.load_design(path)
    hub = saved.content.hub
    assert (hub.source_impedance.m_as("ohm"), hub.port_impedance.m_as("ohm")) == (61.5, 75.0)
    assert (hub.source_tolerance, hub.port_tolerance) == (0.0, 0.125)
    assert saved.plan().terminations.source_ohm == 61.5
    lines = path.read_text().splitlines()
    assert [line for line in before.splitlines() if line not in lines] == []
    assert panel.note.value == ""
    assert "as it is" in panel.where.value
    # a step of the slider is not what the file says, so the field keeps it
    assert panel.design_controls.source.exact.value == "61.5 ohm"
    assert panel.design_controls.changes() == {}
    assert panel.design_controls.band.value == "80 m"


def test_saving_only_another_run_leaves_all_else(panel, folder):
    panel.file.value = ROW
    path = folder / ROW
    before = path.read_text()
    panel.design_controls.slack.value = 3.0
    panel.save.click()
    assert path.read_text() == before.replace('slack = "1 m"', 'slack = "3 m"')


def test_saving_over_a_file_changed_meanwhile_is_refused(panel, folder):
    path = folder / RING
    panel.design_controls.source.slider.value = 60.0
    path.write_text(path.read_text() + "# a note made meanwhile\n")
    kept = path.read_bytes()
    panel.save.click()
    assert "changed on disk" in refusal(panel)
    assert path.read_bytes() == kept


@pytest.mark.parametrize("end", ["source", "port"])
def test_a_wrong_impedance_is_answered_in_place(panel, folder, end):
    before, raw = shown(panel), bytes_of(folder)
    part = getattr(panel.design_controls, end)
    for text in ("50,5", "abc", "-3 ohm", "0", "50 MHz", "inf", "<b>5</b>", "1e400 ohm"):
        part.exact.value = text
        assert f"{end}_impedance" in refusal(panel)
        assert "<b>5" not in panel.status.value
        assert PREVIOUS in panel.old.value
        assert shown(panel) == before
        assert panel.save.disabled
    part.slider.value = 80.0
    assert part.exact.value == part.readout.value == "80 ohm"
    assert not refusal(panel)
    assert PREVIOUS not in panel.old.value
    assert bytes_of(folder) == raw


def test_an_entry_taken_back_leaves_the_slider(panel):
    part = panel.design_controls.port
    part.exact.value = "rubbish"
    part.exact.value = ""
    assert not refusal(panel)
    part.exact.value = "0.1 kohm"
    assert part.slider.value == 100.0
    assert panel.plan.terminations.port_ohm == pytest.approx(100.0)


def test_impedances_beyond_the_sliders_are_kept(panel, folder):
    text = (folder / ROW).read_text()
    odd = text.replace('source_impedance = "75 ohm"', 'source_impedance = "612.4 ohm"')
    odd = odd.replace('port_impedance = "75 ohm"', 'port_impedance = "4.5 ohm"')
    odd = odd.replace("source_tolerance = 0.1", "source_tolerance = 0.432")
    (folder / "odd.toml").write_text(odd)
    panel.path.value = str(folder / "odd.toml")
    assert not refusal(panel)
    assert panel.design_controls.changes() == {}
    assert "612.4 and 4.5 ohm" in panel.page.value
    panel.design_controls.port.tolerance.value = 2.0
    assert panel.design_controls.changes() == {("hub", "port_tolerance"): 0.02}


def test_a_hub_that_cannot_be_built_is_answered_and_the_next_move_mends_it(panel, folder):
    """Taps 10 ns apart cannot be made of a piece with 9 ns in each of its connectors."""
    entered = ["0 ns", "40 ns", "50 ns", "50 ns", "0 ns", "40 ns", "50 ns", "50 ns"]
    (folder / "close.toml").write_text(without_elevation(folder, entered).replace('"0.11 ns"', '"9 ns"'))
    panel.path.value = str(folder / "close.toml")
    assert not refusal(panel)
    before = shown(panel)
    panel.design_controls.hub.value = "ladder"
    assert "connector" in refusal(panel)
    assert PREVIOUS in panel.old.value
    assert shown(panel) == before
    panel.design_controls.hub.value = "joined"
    assert not refusal(panel)


def test_a_design_that_needs_no_lines_says_so(panel, folder):
    (folder / "up.toml").write_text((folder / SQUARE).read_text().replace('"25 deg"', '"90 deg"'))
    panel.path.value = str(folder / "up.toml")
    assert "needs no delay lines" in panel.page.value
    assert panel.errors.svg == panel.second.svg == ""
    panel.picture.value = FROM_ABOVE
    panel.design_controls.source.slider.value = 60.0
    assert not refusal(panel)


def test_a_design_in_which_nothing_arrives_has_no_pattern_and_all_else(panel, folder):
    delays = ["140 ns", "120 ns", "70 ns", "20 ns", "0 ns", "20 ns", "off", "120 ns"]
    text = without_elevation(folder, delays).replace('rule = "entered"', 'rule = "entered"\nelevation = "0 deg"')
    (folder / "flat.toml").write_text(text)
    panel.path.value = str(folder / "flat.toml")
    assert not refusal(panel)
    assert panel.second.svg
    panel.picture.value = FROM_ABOVE
    assert panel.second.svg == ""
    assert "elevation" in panel.page.pages[SECOND].value
    assert panel.errors.svg
    panel.picture.value = BY_LENGTH
    assert panel.second.svg


def test_it_says_when_compensating_is_not_worth_doing(panel):
    said = "No line moves by more than 0.1 degree on the cut band: not worth doing."
    assert panel.page.value.count(said) == 2  # in the verdict, and under the lengths
    panel.design_controls.source.slider.value = 40.0
    panel.design_controls.port.slider.value = 40.0
    assert said not in panel.page.value
    assert "moves most" in panel.page.value


def test_the_inverse_question_is_answered_for_the_accepted_error_too(panel):
    assert "How well both ends must be matched" in panel.page.value
    assert panel.page.value.count("<span>0.2</span>") >= 1  # the demo's own
    for degrees, swr in (("0.5", "1.206"), ("1", "1.304"), ("2", "1.459"), ("5", "1.838")):
        assert f"<span>{degrees}</span>" in panel.page.value
        assert f"<span>{swr}</span>" in panel.page.value


def test_wrong_paths_and_wrong_files_are_answered(panel, folder):
    before = shown(panel)
    panel.path.value = "barn.toml"
    assert "barn.toml" in refusal(panel)
    assert shown(panel) == before
    (folder / "half.toml").write_text((folder / ROW).read_text().replace('port_impedance = "75 ohm"', ""))
    panel.path.value = str(folder / "half.toml")
    assert "go together" in refusal(panel)
    assert shown(panel) == before


def test_a_folder_with_no_design_offers_the_demo(tmp_path):
    assert "Channels between 75 and 75 ohm" in RealPortsPanel(tmp_path).page.value
