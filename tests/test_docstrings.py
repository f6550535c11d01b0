"""Docstrings of formulas and of the public door: complete, in order, with units."""

import ast
import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import docstring_parser
import pytest

import workbook as wb
import workbook.formulas

ROOT = Path(__file__).parent.parent


def parsed(described):
    return docstring_parser.parse(inspect.getdoc(described) or "", style=docstring_parser.DocstringStyle.NUMPYDOC)


def described_names(docstring):
    """Return the names that the section Parameters describes; several may share an entry, as NumPy writes it."""
    return [name.strip(" *") for one in docstring.params for name in one.arg_name.split(",")]


def returned(docstring):
    """Return everything that the section Returns says, or nothing."""
    return " ".join(
        text for one in docstring.many_returns for text in (one.return_name, one.type_name, one.description) if text
    )


# --- formulas ---------------------------------------------------------------------------------------------

UNITS = {"ohm m"} | set("1 m 1/m Hz s rad rad/s ohm ohm/m S S/m Np K W V V/m A F H".split())


def _formulas():
    for module in pkgutil.iter_modules(workbook.formulas.__path__):
        loaded = importlib.import_module(f"workbook.formulas.{module.name}")
        for name, function in inspect.getmembers(loaded, inspect.isfunction):
            if function.__module__ == loaded.__name__ and not name.startswith("_"):
                yield pytest.param(function, id=f"{module.name}.{name}")


every_formula = pytest.mark.parametrize("function", list(_formulas()))


@every_formula
def test_formula_describes_its_parameters_in_order(function):
    assert described_names(parsed(function)) == list(inspect.signature(function).parameters)


@every_formula
def test_formula_gives_a_known_unit_to_every_parameter_and_result(function):
    docstring = parsed(function)
    texts = {one.arg_name: one.description or "" for one in docstring.params} | {"Returns": returned(docstring)}
    for name, text in texts.items():
        found = re.findall(r"\[([^\]]+)\]", text)
        assert found, f"{name} has no unit in brackets"
        assert set(found) <= UNITS, f"{name}: {found}"


@every_formula
def test_formula_begins_with_a_sentence(function):
    first = inspect.getdoc(function).splitlines()[0]
    assert first.endswith(".")
    assert first.split()[0] == "Return"


# --- the public door --------------------------------------------------------------------------------------

# a result of one of these is a number or a quantity, so its unit is stated
NUMERIC = re.compile(
    r"\b(Any|float|complex|Floats|\w*Array|Length|Frequency|Angle|Time|Impedance|Gain|Loss|Quantity)\b"
)
UNIT = re.compile(r"\[[^\]]+\]|[Qq]uantit(y|ies)\b|[Pp]lain (number|float|complex)|\bstr\b|\btext")
# the error itself, and methods on plain SI numbers, which belong to the inside, check nothing
UNCHECKED = {"InputError", "hertz", "ports", "progress"}
# inherited from pint and from Python
NOT_OURS = {"Quantity"}


def _public():
    for name in sorted(set(wb.__all__) - NOT_OURS):
        found = getattr(wb, name)
        if inspect.isfunction(found):
            yield name, found
        elif inspect.isclass(found):
            yield name, found
            for method, function in inspect.getmembers(found, inspect.isfunction):
                if not method.startswith("_") and function.__module__.startswith("workbook"):
                    yield f"{name}.{method}", function


PUBLIC = dict(_public())
FUNCTIONS = {name: found for name, found in PUBLIC.items() if inspect.isfunction(found)}
every_function = pytest.mark.parametrize("name", FUNCTIONS)
# public names whose docstrings are not complete yet; this list only ever gets shorter
UNDESCRIBED: set[str] = set()


def _arguments(name):
    return [one for one in inspect.signature(FUNCTIONS[name]).parameters if one not in ("self", "cls")]


def _faults(name):
    docstring, function = parsed(FUNCTIONS[name]), FUNCTIONS[name]
    arguments, back = _arguments(name), str(inspect.signature(function).return_annotation)
    described = described_names(docstring)
    # an entry of several names, such as "as in that function", may gather them out of order
    grouped = len(described) != len(docstring.params)
    if (sorted(described) != sorted(arguments)) if grouped else (described != arguments):
        yield f"Parameters are {described}, not {arguments}"
    yield from (f"{one.arg_name} has no description" for one in docstring.params if not one.description)
    if back not in ("None", "<class 'NoneType'>"):
        text = returned(docstring)
        if not text:
            yield "Returns is missing"
        elif NUMERIC.search(back) and not UNIT.search(text):
            yield f"Returns has no unit: {text!r}"
    if arguments and not docstring.raises and not UNCHECKED & {name.partition(".")[0], *arguments}:
        yield "Raises is missing"


@every_function
def test_public_function_describes_arguments_result_and_refusals(name):
    faults = list(_faults(name))
    if faults and name in UNDESCRIBED:
        pytest.xfail("not described yet")
    assert not faults


@pytest.mark.parametrize("name", PUBLIC)
def test_public_name_begins_with_a_sentence(name):
    first = (inspect.getdoc(PUBLIC[name]) or "").partition("\n\n")[0]
    assert re.search(r"[.:;]$", first), first


def test_module_docstrings_are_there():
    for path in sorted((ROOT / "workbook").rglob("*.py")):
        assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), path
