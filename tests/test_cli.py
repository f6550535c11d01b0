"""The command: what it prints, what it writes, and how it refuses."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from workbook import lab
from workbook.cli import main
from workbook.files import shipped
from workbook.tables.cables import listing

DEMO = shipped("notebooks") / "heron-fen-ring.toml"
SHEETS = {"build-sheet.html", "buy.csv", "cuts.csv", "labels.html", "sheets.txt"}


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run a command that must be refused: status 2, nothing on standard output; return the sentence."""
    try:
        status = main(arguments)
    except SystemExit as exit_:
        status = exit_.code
    out, err = capsys.readouterr()
    assert status == 2
    assert out == ""
    assert 1 <= len(err.strip().splitlines()) <= 3
    assert "Traceback" not in err
    return err


def test_the_main_job_prints_the_cut_list_and_writes_its_sheets(tmp_path, monkeypatch, capsysbinary):
    monkeypatch.chdir(tmp_path)
    assert main(["plan"]) == 0
    printed = capsysbinary.readouterr().out.decode()
    assert "length to cut" in printed
    assert "first cut" in printed
    assert "Check frequencies, far end open" in printed
    for figure in ("RDF 11.55 dB", "front-to-back 12.1 dB", "white-noise gain"):
        assert figure in printed
    assert max(len(line) for line in printed.splitlines() if not line.startswith("wrote ")) <= 80
    assert {path.name for path in (tmp_path / "build-heron-fen-eight").iterdir()} == SHEETS | {"reels.csv"}
    for name in SHEETS:
        assert str(Path("build-heron-fen-eight") / name) in printed
    for label in ("A", "B1, B2", "run 1 to 8"):
        assert any(line.startswith(f"{label} ") for line in printed.splitlines())


def test_json_prints_only_json_and_writes_nothing(tmp_path, monkeypatch, capsysbinary):
    monkeypatch.chdir(tmp_path)
    assert main(["plan", str(DEMO), "--json"]) == 0
    plan = json.loads(capsysbinary.readouterr().out)
    assert plan["name"] == "Heron Fen ring"
    assert list(tmp_path.iterdir()) == []


def test_running_twice_replaces_the_sheets(tmp_path, capsysbinary):
    for _ in range(2):
        assert main(["plan", str(DEMO), "--out", str(tmp_path / "out")]) == 0
    assert {path.name for path in (tmp_path / "out").iterdir()} == SHEETS


@pytest.mark.parametrize(
    "arguments",
    [(), ("plan", "--ouy", "x"), ("cut",), ("plan", "a.toml", "b.toml"), ("cables", "a", "b"), ("plan", "--out")],
)
def test_wrong_arguments_get_at_most_two_lines_of_usage_and_a_sentence(capsys, arguments):
    assert "--help" in refused(capsys, *arguments)


def test_a_missing_file_is_named(capsys, tmp_path):
    assert "nowhere.toml" in refused(capsys, "plan", str(tmp_path / "nowhere.toml"))


def test_a_folder_in_place_of_a_file_is_refused(capsys, tmp_path):
    assert str(tmp_path) in refused(capsys, "plan", str(tmp_path))


def test_an_output_folder_that_is_a_file_is_refused_and_nothing_is_lost(capsys, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("mine")
    assert "--out" in refused(capsys, "plan", str(DEMO), "--out", str(taken))
    assert taken.read_text() == "mine"


def test_half_written_sheets_never_stay(monkeypatch, capsys, tmp_path):
    """When the second of the sheets cannot be put on disk, none of them appears."""
    import workbook.files as files

    real, made = files.tempfile.mkstemp, []

    def failing(*arguments, **named):
        made.append(1)
        if len(made) == 2:
            raise OSError(28, "No space left on device")
        return real(*arguments, **named)

    monkeypatch.setattr(files.tempfile, "mkstemp", failing)
    assert "No space left" in refused(capsys, "plan", str(DEMO), "--out", str(tmp_path / "out"))
    assert list((tmp_path / "out").iterdir()) == []


def test_an_unknown_cable_offers_the_nearest(capsys):
    assert "series-6-clad" in refused(capsys, "cables", "series-6-clat")


def test_cables_lists_all_and_shows_one(capsysbinary):
    assert main(["cables"]) == 0
    listed = capsysbinary.readouterr().out.decode()
    assert "rg-213-solid-pe" in listed
    assert max(map(len, listed.splitlines())) <= 80
    assert main(["cables", "series-6-clad"]) == 0
    shown = capsysbinary.readouterr().out.decode()
    assert "Not known:" in shown
    assert max(map(len, shown.splitlines())) <= 80
    assert "from memory" in shown


def test_a_broken_cable_of_ones_own_is_listed_with_its_fault(monkeypatch, capsysbinary, tmp_path):
    (tmp_path / "barn-cable.toml").write_text("standard_type = 'x'\n")
    shutil.copy(shipped("cable_data") / "series-6-clad.toml", tmp_path / "series-6-clad.toml")
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path))
    assert main(["cables"]) == 0
    lines = capsysbinary.readouterr().out.decode().splitlines()
    rows = {row[0]: row for row in listing().rows}
    assert "impedance is missing" in rows["barn-cable"][-1]
    assert rows["series-6-clad"][1] == "your own, hides the bundled one"
    assert rows["rg-213-solid-pe"][1] == "bundled"
    assert all(any(line.startswith(f"{name} ") for line in lines) for name in rows)


def test_the_installed_command_answers(tmp_path):
    code = "import sys; from workbook.cli import main; sys.exit(main())"
    done = subprocess.run(
        [sys.executable, "-c", code, "plan", "nowhere.toml"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1


def test_new_writes_a_design_that_can_be_planned_and_never_writes_over_one(tmp_path, monkeypatch, capsysbinary):
    monkeypatch.chdir(tmp_path)
    arguments = ["--kind", "square", "--size", "80 ft", "--band", "160 m=1.83 MHz", "--rule", "aligned", "--feet"]
    assert main(["new", "long-meadow.toml", *arguments]) == 0
    printed = capsysbinary.readouterr().out.decode()
    assert "wrote long-meadow.toml" in printed
    assert "feedline-workbook lab long-meadow.toml" in printed
    text = Path("long-meadow.toml").read_text()
    assert main(["plan", "long-meadow.toml", "--json"]) == 0
    plan = json.loads(capsysbinary.readouterr().out)
    assert (plan["name"], len(plan["directions"])) == ("Long meadow", 4)
    assert main(["new", "long-meadow", *arguments]) == 2
    assert Path("long-meadow.toml").read_text() == text


def test_new_refuses_in_words(capsys, tmp_path):
    file = str(tmp_path / "fen.toml")
    assert "rign" in refused(capsys, "new", file, "--kind", "rign")
    assert "--count" in refused(capsys, "new", file, "--count", "eight")
    assert "diameter" in refused(capsys, "new", file, "--size", "46 kg")
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def opened(monkeypatch):
    """Calls of the worksheets' opening, in place of JupyterLab."""
    calls = []

    def start(folder, design=None, open_browser=True, show_code=False, allow_root=False):
        calls.append((folder, design, open_browser, show_code))
        return 0

    monkeypatch.setattr("workbook.lab.start", start)
    return calls


def test_lab_takes_a_folder_or_a_design_file(opened, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    shutil.copy(DEMO, "mine.toml")
    assert main(["lab"]) == 0
    assert main(["lab", "field", "--no-browser", "--code"]) == 0
    assert main(["lab", "mine.toml"]) == 0
    usual = Path("my-worksheets")
    assert opened == [
        (usual, None, True, False),
        (Path("field"), None, False, True),
        (usual, Path("mine.toml"), True, False),
    ]
    Path("00-start.ipynb").touch()
    assert main(["lab", "mine.toml"]) == 0
    assert opened[-1] == (Path(), Path("mine.toml"), True, False)
    assert "nowhere.toml" in refused(capsys, "lab", "nowhere.toml")


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('strip = "14 mm"', 'strip = "14 m"', "ends.delay_line.strip"),
        ('trim = "10 cm"', 'trim = "10 m"', "cutting.trim"),
        ('diameter = "46 m"', 'diameter = "3444 m"', "array"),
    ],
)
def test_a_size_that_is_a_slip_of_a_unit_is_refused_with_how_to_insist(capsys, tmp_path, old, new, key):
    file = tmp_path / "slip.toml"
    file.write_text(DEMO.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    sentence = refused(capsys, "plan", str(file), "--out", str(tmp_path / "out"))
    assert f"slip.toml: {key}: " in sentence
    assert "--anyway" in sentence
    assert not (tmp_path / "out").exists()


def test_who_insists_gets_the_plan_of_an_absurd_size(capsysbinary, tmp_path):
    file = tmp_path / "slip.toml"
    file.write_text(DEMO.read_text(encoding="utf-8").replace('trim = "10 cm"', 'trim = "10 m"'), encoding="utf-8")
    assert main(["plan", str(file), "--out", str(tmp_path / "out"), "--anyway"]) == 0
    assert b"first cut" in capsysbinary.readouterr().out


def test_lab_is_not_served_by_root_unless_that_is_said(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("os.geteuid", lambda: 0, raising=False)
    sentence = refused(capsys, "lab", str(tmp_path / "sheets"))
    assert "root" in sentence
    assert "--allow-root" in sentence
    assert not (tmp_path / "sheets").exists()
    settings = json.loads((Path(lab.__file__).parent / "config" / "jupyter_lab_config.json").read_text())
    assert "allow_root" not in settings["ServerApp"]


def test_a_size_without_a_unit_is_printed_with_the_one_that_is_taken(capsys, tmp_path, monkeypatch):
    """150 ft that were typed as 150 are seen as 150 m before anything is cut."""
    monkeypatch.chdir(tmp_path)
    assert main(["new", "t4.toml", "--size", "150"]) == 0
    assert "wrote t4.toml: 150 m across the ring" in capsys.readouterr().out


def test_a_cable_is_shown_for_100_ft_alone(capsys):
    assert main(["cables", "series-6-copper", "--feet"]) == 0
    printed = capsys.readouterr().out
    assert "100 ft" in printed
    assert "100 m" not in printed
