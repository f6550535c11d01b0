"""Words: what anybody reads is modern technical English, and the glossary holds together."""

import ast
import contextlib
import io
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

import workbook as wb
from workbook.cli import main
from workbook.files import shipped
from workbook.glossary import AVOIDED, TERMS, avoided, explained, terms_in
from workbook.report.sheets import build_sheet, labels
from workbook.tables.cables import data_sheet
from workbook.tables.summary import summary_text

ROOT = Path(__file__).parent.parent
MODULES = sorted((ROOT / "workbook").rglob("*.py"))
TEXTS = sorted((*ROOT.glob("*.md"), *(ROOT / "workbook").rglob("*.j2"), *shipped("notebooks").glob("*.toml")))
DESIGNS = sorted(shipped("notebooks").glob("*.toml"))
DEFINITIONS = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


def strings(path: Path) -> list[tuple[int, str]]:
    """Return the strings of a module that are not docstrings, with their lines."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    bodies = [node.body for node in ast.walk(tree) if isinstance(node, DEFINITIONS)]
    docs = {id(one.value) for body in bodies for one in body if isinstance(one, ast.Expr)}
    constants = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in docs)
    return [(node.lineno, node.value) for node in constants if isinstance(node.value, str)]


class Text(HTMLParser):
    """Collects what a page shows, the titles of its elements too."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.text += [value for key, value in attrs if key in ("title", "data-heading", "aria-label")]

    def handle_data(self, data):
        self.text.append(data)


def shown(html: str) -> str:
    reader = Text()
    reader.feed(html)
    return "\n".join(reader.text)


def printed(*arguments: str) -> str:
    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    with contextlib.redirect_stdout(out), contextlib.suppress(SystemExit):
        main(arguments)
    out.seek(0)
    return out.read()


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_strings_of_a_module_use_standard_words(path):
    if path.name == "glossary.py":
        return
    found = [(line, word) for line, text in strings(path) for word in avoided(text)]
    assert not found


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_texts_use_standard_words(path):
    assert not avoided(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", sorted(shipped("notebooks").glob("*.ipynb")), ids=lambda path: path.name)
def test_worksheets_use_standard_words(path):
    assert not avoided("\n".join("".join(cell["source"]) for cell in json.loads(path.read_text())["cells"]))


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.name)
def test_sheets_and_summary_use_standard_words(path):
    plan = wb.load_design(path).plan()
    for text in (shown(build_sheet(plan, full=True)), shown(labels(plan)), summary_text(plan)):
        assert not avoided(text)


@pytest.mark.parametrize("name", wb.cables())
def test_data_sheets_use_standard_words(name):
    assert not avoided(data_sheet(wb.cable(name)))


@pytest.mark.parametrize("command", ["plan", "lab", "cables", "keys"])
def test_help_uses_standard_words(command):
    assert not avoided(printed(command, "--help"))
    assert not avoided(printed("--help"))


def test_the_reference_uses_standard_words():
    assert not avoided(printed("keys"))


@pytest.mark.parametrize("name", [name for name in wb.__all__ if name[0] != "_"])
def test_help_on_a_public_name_uses_standard_words(name):
    assert not avoided(getattr(wb, name).__doc__ or "")


@pytest.mark.parametrize("old", ["nought", "told", "ohm there", "waits ns", "fired", "deg up", "off the rule by"])
def test_old_words_are_found(old):
    assert avoided(f"a heading with {old}")


def test_terms_are_in_order_and_each_says_what_it_means():
    names = [term.name for term in TERMS]
    assert names == sorted(names, key=str.lower)
    assert len({spelling.lower() for term in TERMS for spelling in (term.name, *term.also)}) == sum(
        1 + len(term.also) for term in TERMS
    )
    assert all(re.fullmatch(r"[A-Z].+\.", term.meaning, re.DOTALL) for term in TERMS)
    assert not [word for term in TERMS for word in avoided(term.meaning)]


def test_a_heading_is_explained_by_its_longest_term():
    assert explained("error at printed velocity factor deg").name == "error at printed velocity factor"
    assert explained("delay ns").name == "delay"
    assert explained("delay line").name == "delay line"
    assert explained("how many") is None


def test_terms_are_listed_once():
    assert [term.name for term in terms_in(["RDF dB", "RDF by the rule", "null"])] == ["null", "RDF"]


def test_every_pattern_has_a_better_word():
    assert all(AVOIDED.values())
