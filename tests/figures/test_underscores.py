"""Names that begin with an underscore stand in sheets and pictures like any other."""

import pytest
import tomlkit
from designs import ENDS, changed

import workbook as wb
from workbook.cli import main
from workbook.figures.delay_errors import delay_errors
from workbook.figures.pattern import azimuth_picture
from workbook.figures.real_ports import channel_picture

NAMES = {
    ("bands",): {"_top": "1.83 MHz", "80 m": "3.65 MHz"},
    ("phasing", "cut_band"): "_top",
    ("directions", 0, "name"): "_ne",
}


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "design.toml"
    path.write_text(tomlkit.dumps(changed(ENDS, NAMES)), encoding="utf-8")
    return path


def test_names_with_an_underscore_stand_in_every_legend(path):
    plan = wb.load_design(path).plan()
    assert "_ne on _top" in azimuth_picture(plan, "_ne", "_top").svg()
    assert "_top, as planned" in delay_errors(plan).svg()
    assert "_top, as planned" in channel_picture(plan, plan.terminations).svg()


def test_plan_command_accepts_a_direction_and_a_band_with_an_underscore(path, tmp_path, capfdbinary):
    assert main(["plan", str(path), "--out", str(tmp_path / "sheets")]) == 0
    assert "_ne" in (tmp_path / "sheets" / "build-sheet.html").read_text(encoding="utf-8")
