"""The sheets on paper: complete, self-contained, safe with any name."""

import csv
import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
import tomlkit
from designs import BASES

import workbook as wb
from workbook.files import shipped
from workbook.plan.marks import reel_mark
from workbook.report.files import sheets_folder, write_sheets
from workbook.report.sheets import CAUTIONS, alike, build_sheet, labels, pieces, uses
from workbook.tables.buy import buy_table
from workbook.tables.cuts import spreadsheet

NASTY = '<script>alert("x")</script> & $a_b$'


class Reader(HTMLParser):
    """Collects text, tags, and whether every opened element is closed in order."""

    VOID = ("meta", "br", "link", "img", "path", "use")

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open, self.tags, self.text, self.addresses = [], [], "", []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.addresses += [value for key, value in attrs if key in ("src", "href", "xlink:href", "action")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.addresses += [value for key, value in attrs if key in ("src", "href", "xlink:href", "action")]

    def handle_endtag(self, tag):
        if tag not in self.VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    assert reader.open == []
    return reader


@pytest.fixture(params=["heron-fen-ring.toml", "heron-fen-square.toml", "matched"])
def plan(request):
    demos = shipped("notebooks")
    if request.param != "matched":
        return wb.load_design(demos / request.param).plan()
    # two lines of the same cable in parallel, so that pieces of one kind differ in their marks
    keys = {
        "way": "quarter-wave line",
        "cables": ["rg-8x-foam", "series-59-copper"],
        "source": "75 ohm",
        "load": "20 ohm",
    }
    return wb.load_design(demos / "heron-fen-ring.toml").changed({("match", k): v for k, v in keys.items()}).plan()


def sheet(plan) -> str:
    return build_sheet(plan, full=True)


def test_the_build_sheet_names_every_piece_its_lengths_and_its_check(plan):
    text = read(sheet(plan)).text
    for piece in pieces(plan):
        assert piece.mark in text
        assert f"{piece.first_cut_m:.3f} m" in text
        assert f"{piece.length_to_cut_m:.3f} m" in text
        assert f"{piece.check.frequency_hz / 1e6:.4f}" in text
    matching = plan.match.sections if plan.match else ()
    assert len({piece.mark for piece in pieces(plan)}) == len(pieces(plan))
    assert len(pieces(plan)) == sum(part.count for part in (*plan.delay_lines, *matching, plan.element_runs))


def test_the_build_sheet_says_what_must_come_from_one_reel_and_what_to_cut_first(plan):
    text = read(sheet(plan)).text
    assert "one reel" in text
    assert "longest first" in text
    lengths = [piece.first_cut_m for piece in pieces(plan) if piece.line]
    assert lengths == sorted(lengths, reverse=True)


def test_the_build_sheet_names_the_cautions(plan):
    text = read(sheet(plan)).text
    for word in ("Overhead lines", "Digging", "Lightning and bonding at the entry", "Transmit power near receive gear"):
        assert word in text
        assert word in {name for name, _ in CAUTIONS}
    assert "Local electrical and building codes" in text
    assert "licensed" in text


def test_sheets_need_nothing_from_outside(plan):
    for html in (sheet(plan), labels(plan)):
        reader = read(html)
        assert all(address.startswith("#") for address in reader.addresses)
        assert not {"script", "link", "img", "iframe"} & set(reader.tags)
        assert "@import" not in html
        assert "url(http" not in html


def test_names_are_text_wherever_they_stand(plan):
    direction = replace(plan.directions[0], name=NASTY)
    shapes = tuple(replace(s, direction=NASTY) if s.direction == plan.directions[0].name else s for s in plan.shapes)
    nasty = replace(plan, name=NASTY, warnings=(NASTY,), directions=(direction, *plan.directions[1:]), shapes=shapes)
    for html in (sheet(nasty), labels(nasty)):
        reader = read(html)
        assert "script" not in reader.tags
        assert NASTY in reader.text


def test_every_piece_the_receiver_run_and_the_lid_have_a_label(plan):
    reader = read(labels(plan))
    assert reader.tags.count("section") == len(pieces(plan)) + 2
    assert "60 mm by 18 mm" in reader.text
    assert "date ____" in reader.text
    for piece in pieces(plan):
        assert f"{piece.length_to_cut_m:.3f} m" in reader.text
        assert f"check {piece.check.frequency_hz / 1e6:.4f} MHz" in reader.text


def test_the_full_sheet_names_the_users_of_every_delay_line(plan):
    text = read(sheet(plan)).text
    for line in plan.delay_lines:
        users = [d.name for d in plan.directions if any(feed.line == line.label for feed in d.elements)]
        assert users
        assert all(f"{name}: element" in text for name in users)


def test_pieces_that_are_cut_alike_have_one_row(plan):
    groups = alike(plan)
    assert sum(group.count for group in groups) == len(pieces(plan))
    runs = [group for group in groups if group.piece.what == "element to hub"]
    assert [group.marks for group in runs] == [f"run 1 to {len(plan.elements)}"]


def test_no_narrow_column_breaks_the_name_of_a_band(plan):
    cells = re.findall(r"<td[^>]*>(.*?)</td>", sheet(plan), re.DOTALL)
    for band in plan.bands:
        alone = [cell for cell in cells if re.sub(r"<[^>]+>", "", cell) == band.name]
        assert len(alone) > 1
        assert set(alone) == {f'<span class="whole">{band.name}</span>'}


def test_the_appendix_is_on_the_full_sheet_alone(plan):
    assert "Appendix" in sheet(plan)
    short = build_sheet(plan)
    assert "Appendix" not in short
    assert "--full" in read(short).text


def test_no_table_has_a_column_of_dashes(plan):
    for html in (build_sheet(plan), sheet(plan)):
        for table in re.findall(r"<table.*?</table>", html, re.S):
            rows = [re.findall(r"<td.*?</td>", row, re.S) for row in re.findall(r"<tr>(.*?)</tr>", table, re.S)]
            cells = [[re.sub(r"<.*?>", "", cell) for cell in row] for row in rows if row]
            assert all(set(column) - {"-", ""} for column in zip(*cells, strict=True))


def test_every_term_of_a_heading_is_explained_at_the_foot(plan):
    html = build_sheet(plan)
    terms = html.index('class="terms"')
    for term in ("accept range", "RDF", "white-noise gain", "resistance at check frequency"):
        assert f"<dt>{term}" in html[terms:]
        assert f'title="{term}: ' in html[:terms]


def test_the_spreadsheet_reads_back(plan):
    rows = list(csv.DictReader(io.StringIO(spreadsheet(plan).csv())))
    # longest first over lines and runs alike: a spoiled piece still makes a shorter one
    lengths = [float(row["first_cut_m"]) for row in rows]
    assert lengths == sorted(lengths, reverse=True)
    named = {line.label: line for line in plan.delay_lines} | {"run": plan.element_runs}
    named |= {f"match {n}": part for n, part in enumerate(plan.match.sections if plan.match else (), 1)}
    assert sorted(row["piece"] for row in rows) == sorted(named)
    for row in rows:
        line = named[row["piece"]]
        assert float(row["first_cut_m"]) == pytest.approx(line.first_cut_m, abs=5.1e-4)
        assert float(row["check_trimmed_hz"]) == pytest.approx(line.check.frequency_hz, abs=0.51)
        tape = wb.quantity(row["length_to_cut_tape"]).m_as("inch")
        assert tape == pytest.approx(line.length_to_cut_m / 0.0254, abs=1 / 32 + 1e-6)


def test_a_plan_without_delay_lines_still_makes_sheets(tmp_path):
    text = (shipped("notebooks") / "heron-fen-ring.toml").read_text().replace('"22 deg"', '"90 deg"')
    (tmp_path / "flat.toml").write_text(text)
    plan = wb.load_design(tmp_path / "flat.toml").plan()
    assert plan.delay_lines == ()
    assert "no delay lines" in read(sheet(plan)).text
    assert "run 8" in read(labels(plan)).text


def test_two_lines_of_one_delay_are_numbered_and_say_what_stands_before_them():
    """In hub joined one serves those that are straight and one those that are reversed; labels say which."""
    design = wb.load_design(shipped("notebooks") / "heron-fen-row.toml")
    both = {"delays": ["0 ns", "60 ns", "60 ns", "0 ns"], "polarity": [1, 1, -1, -1]}
    plan = design.changed(
        {("phasing",): {"rule": "entered", "cut_band": "160 m", "elevation": "20 deg"}}
        | {("directions",): [{"name": "north", "azimuth": "0 deg", **both}], ("hub", "kind"): "joined"}
    ).plan()
    assert {piece.mark for piece in pieces(plan) if piece.line} == {"A1", "A2"}
    assert uses(plan, "A", 1) == ("north: element 2",)
    assert uses(plan, "A", -1) == ("north: element 3 reversed",)
    text = read(sheet(plan)).text
    assert "north: element 2" in text
    assert "north: elements 2, 3 reversed" not in text


@pytest.fixture(scope="module")
def receiving(tmp_path_factory):
    """A plan of a design that says everything from the verticals to the receiver."""
    path = tmp_path_factory.mktemp("receive") / "design.toml"
    path.write_text(tomlkit.dumps(BASES["receive"]), encoding="utf-8")
    return wb.load_design(path).plan()


def test_the_sheet_has_feed_and_reels_where_the_design_says_what_they_need(plan, receiving):
    text = read(build_sheet(receiving)).text
    without = read(build_sheet(plan)).text
    for words in ("Cutting plan of the reels in stock", "arrive at the farthest front end"):
        assert words in text
        assert words not in without
    assert f"{receiving.feed.voltage_v:.1f} V arrive" in text
    assert f"{receiving.reception.least.margin_db:+.1f} dB" in text
    assert receiving.reels[0].reels[0].reel in text
    assert "The buffers may stay on while these transmit" in text


def test_the_appendix_has_margins_and_every_cut(receiving):
    text = read(build_sheet(receiving, full=True)).text
    assert "exposure rules" in text
    for band in receiving.reception.bands:
        assert f"Internal noise at the receiver on {band.name}" in text
    assert all(reel_mark(cut.piece) in text for reel in receiving.reels[0].reels for cut in reel.cuts)


def test_cuts_from_the_reels_are_written_as_a_spreadsheet(receiving, tmp_path):
    paths = write_sheets(receiving, tmp_path)
    (path,) = [path for path in paths if path.name == "reels.csv"]
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
    assert len(rows) == 1 + sum(len(reel.cuts) for reel in receiving.reels[0].reels)


def test_what_to_buy_has_the_cost_of_cables_with_a_price(receiving):
    table = buy_table(receiving)
    (row,) = [row for row in table.rows if row[0] == "series-11-clad"]
    assert table.headings[-1] == "cost"
    assert float(row[-1]) == pytest.approx(165 * 140 / 305, abs=0.005)  # 150 m and a spare tenth


@pytest.mark.parametrize(
    ("one", "other"),
    [("Луг", "草原"), ("Ωμέγα", "Луг"), ("★", "☆"), ("Löwe", "Lowe"), ("𐌰" * 80, "𐌰" * 79 + "𐌱")],
    ids=["Cyrillic and Han", "Greek and Cyrillic", "signs", "umlaut", "four bytes a letter"],
)
def test_names_of_any_script_have_folders_of_their_own(tmp_path, one, other):
    folders = [sheets_folder(name, tmp_path) for name in (one, other)]
    assert folders[0] != folders[1]
    for folder in folders:
        folder.mkdir()
        assert folder.name.startswith("build-")


@pytest.fixture(scope="module")
def in_feet():
    """The row with its match, lengths in feet, connectors of no length and a delay that some merge leaves out."""
    keys = {("units",): "feet", ("ends",): {"delay_line": {"delay": "0 ns", "strip": "0 in"}}}
    return wb.load_design(shipped("notebooks") / "heron-fen-row.toml").changed(keys).plan()


def test_the_cut_list_has_the_receiver_run_in_its_place(plan, in_feet):
    """Longest first over everything that is cut; the run is neither trimmed nor checked."""
    for made in (plan, in_feet):
        body = build_sheet(made).split("<tbody>")[1].split("</tbody>")[0]
        first = [
            re.sub(r"<.*?>", "", re.search("<td.*?</td>", row)[0]) for row in re.findall(r"<tr.*?</tr>", body, re.S)
        ]
        longer = [one.marks for one in alike(made) if one.piece.first_cut_m > made.receiver_run.length_m]
        assert first[len(longer)] == "receiver run"
        assert first[: len(longer)] == longer
        assert body.count("not trimmed") == 1


def test_the_sheet_says_the_turns_of_the_match_and_the_core_that_they_need(in_feet):
    """400 nH per turn squared is what the search for turns assumes of a core (wb.transformer)."""
    text = read(build_sheet(in_feet)).text
    turns = {part.name: part.value for part in in_feet.match.components}
    assert f"{turns['turns at the source']} to {turns['turns at the load']} turns" in text
    assert "on a core of 400 nH per turn squared" in text


def test_paper_is_letter_where_lengths_are_in_feet(plan, in_feet):
    for made, size in ((plan, "A4"), (in_feet, "letter")):
        for html in (build_sheet(made), labels(made)):
            assert re.findall(r"@page \{ size: (\w+);", html) == [size]


def test_nothing_is_said_of_cable_that_goes_into_connectors_where_none_does(plan, in_feet):
    assert "that go into its connector" in read(build_sheet(plan)).text
    assert "that go into its connector" not in read(build_sheet(in_feet)).text


def test_each_tolerance_says_what_else_is_exact(plan):
    text = read(build_sheet(plan)).text
    assert "Hold these tolerances, all together" in text
    assert "lines alone with all else exact" in text
    assert "One stake alone, all else exact" in text
