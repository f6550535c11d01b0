"""Docstrings of formulas and of the public door: complete, in order, with units; read by pydoclint's own parser."""

import ast
import importlib
import inspect
import pkgutil
import re
import subprocess
import sys
from pathlib import Path

import docstring_parser
import pytest

import workbook as wb
import workbook.formulas

ROOT = Path(__file__).parent.parent


def parsed(described):
    return docstring_parser.parse(inspect.getdoc(described) or "", style=docstring_parser.DocstringStyle.NUMPYDOC)


def returned(docstring):
    """Return everything that the section Returns says, or nothing."""
    return " ".join(
        text for one in docstring.many_returns for text in (one.return_name, one.type_name, one.description) if text
    )


# --- every docstring that has sections ----------------------------------------------------------------------

# modules whose docstrings are not complete yet; this list only ever gets shorter
INCOMPLETE = {
    "workbook/array/declination.py",
    "workbook/array/fewest.py",
    "workbook/array/layout.py",
    "workbook/array/merit.py",
    "workbook/array/pattern.py",
    "workbook/array/phasing.py",
    "workbook/array/positions.py",
    "workbook/array/search.py",
    "workbook/array/shape.py",
    "workbook/array/stakeout.py",
    "workbook/bands.py",
    "workbook/bench/sweeps.py",
    "workbook/bench/trimming.py",
    "workbook/chain/channels.py",
    "workbook/chain/compensate.py",
    "workbook/chain/corners.py",
    "workbook/chain/levels.py",
    "workbook/chain/mismatch.py",
    "workbook/chain/transfer.py",
    "workbook/chain/weights.py",
    "workbook/checks.py",
    "workbook/design/store.py",
    "workbook/errors.py",
    "workbook/figures/disc.py",
    "workbook/figures/pattern.py",
    "workbook/figures/plan_drawing.py",
    "workbook/figures/real_ports.py",
    "workbook/figures/stake_drawing.py",
    "workbook/figures/velocity.py",
    "workbook/files.py",
    "workbook/formatting.py",
    "workbook/formulas/twoports.py",
    "workbook/formulas/waves.py",
    "workbook/lab/launch.py",
    "workbook/line/cable.py",
    "workbook/line/catalogue.py",
    "workbook/line/impedances.py",
    "workbook/line/lengths.py",
    "workbook/line/losses.py",
    "workbook/line/narrow.py",
    "workbook/line/piece.py",
    "workbook/matching/compare.py",
    "workbook/matching/export.py",
    "workbook/matching/leave.py",
    "workbook/matching/match.py",
    "workbook/matching/nearest.py",
    "workbook/matching/pad.py",
    "workbook/matching/sections.py",
    "workbook/matching/transformer.py",
    "workbook/matching/turns.py",
    "workbook/panels/matching_controls.py",
    "workbook/plan/choices.py",
    "workbook/plan/cuts.py",
    "workbook/plan/delays.py",
    "workbook/plan/designs.py",
    "workbook/plan/direction_check.py",
    "workbook/plan/patterns.py",
    "workbook/plan/rules.py",
    "workbook/plan/terminations.py",
    "workbook/report/files.py",
    "workbook/report/sheets.py",
    "workbook/schema.py",
    "workbook/table.py",
    "workbook/tolerance/allowable.py",
    "workbook/tolerance/pairs.py",
    "workbook/tolerance/result.py",
    "workbook/units.py",
}


def test_sections_of_docstrings_agree_with_the_code():
    """Parameters all there and in order, Returns where something comes back; one-line docstrings are left alone."""
    paths = [str(path) for path in sorted((ROOT / "workbook").rglob("*.py"))]
    kept = [path for path in paths if str(Path(path).relative_to(ROOT)) not in INCOMPLETE]
    done = subprocess.run(
        [sys.executable, "-m", "pydoclint.main", "--quiet", *kept],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


# --- formulas ---------------------------------------------------------------------------------------------

UNITS = {"1", "m", "1/m", "Hz", "s", "rad", "rad/s", "ohm", "ohm/m", "S/m", "Np", "K", "W", "V", "A"}


def _formulas():
    for module in pkgutil.iter_modules(workbook.formulas.__path__):
        loaded = importlib.import_module(f"workbook.formulas.{module.name}")
        for name, function in inspect.getmembers(loaded, inspect.isfunction):
            if function.__module__ == loaded.__name__ and not name.startswith("_"):
                yield pytest.param(function, id=f"{module.name}.{name}")


every_formula = pytest.mark.parametrize("function", list(_formulas()))


@every_formula
def test_formula_describes_its_parameters_in_order(function):
    described = [one.arg_name for one in parsed(function).params]
    if any(", " in name for name in described):
        pytest.xfail("entries of several names are not split yet")
    assert described == list(inspect.signature(function).parameters)


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
UNIT = re.compile(r"\[[^\]]+\]|[Qq]uantity in \S|[Qq]uantities in \S|[Pp]lain number|[Ss]ame unit|\S quantity \(")
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
UNDESCRIBED = {
    "Cable.attenuation",
    "Cable.characteristic_impedance",
    "Cable.constants",
    "Cable.group_velocity_factor",
    "Cable.network",
    "Cable.propagation_constant",
    "Cable.span",
    "Cable.velocity",
    "Cable.velocity_factor",
    "Cable.with_cladding",
    "Cable.with_velocity_factor",
    "Design.changed",
    "Design.plan",
    "Design.save",
    "FaultReport.length_error",
    "FewestDelays.element_delays",
    "FewestDelays.least_rdf_at",
    "FewestDelays.weights",
    "Ground.averages",
    "Ground.element",
    "InputError.at",
    "InputError.renamed",
    "InputError.within",
    "Match.between",
    "Match.excess",
    "Match.insertion_loss",
    "Match.network",
    "Match.phase_shift",
    "Match.plain",
    "Match.response",
    "Match.scattering",
    "Match.swr_in",
    "Match.swr_out",
    "Match.usable_band",
    "Narrowed.sentence",
    "Plan.band",
    "Plan.direction",
    "Plan.line",
    "Plan.to_dict",
    "ToleranceResult.interval",
    "ToleranceResult.interval_error",
    "ToleranceResult.median",
    "ToleranceResult.nominal",
    "ToleranceResult.sensitivities",
    "ToleranceResult.trials",
    "ToleranceResult.unit",
    "TrimAdvice.sentence",
    "aligned_weights",
    "allowable",
    "allowable_alone",
    "array_response",
    "band",
    "bands",
    "cable",
    "cables",
    "channel_errors",
    "check_frequency",
    "check_frequency_in",
    "compare_matches",
    "conductor_impedance",
    "constant_cable",
    "declination",
    "deepest_null",
    "delay_length",
    "electrical_length",
    "endfire_weights",
    "feet_inches",
    "fewest_delays",
    "greatest_rdf_weights",
    "ideal_cable",
    "input_impedance",
    "layout_from",
    "length_error",
    "length_from_check_frequency",
    "line_transfer",
    "minimum_loss_pad",
    "mismatch_loss",
    "narrowed_by_check_frequency",
    "narrowed_by_resistance",
    "nearest_cables",
    "nearest_value",
    "phase_error",
    "phase_of_delay",
    "physical_length",
    "quantity",
    "quarter_wave_match",
    "ranking",
    "read_positions",
    "read_sweep",
    "real_pad",
    "ring",
    "row",
    "save_narrowed",
    "save_touchstone",
    "series_section_match",
    "shield_impedance",
    "square",
    "stake_out",
    "total_loss",
    "transformer_match",
    "transformer_turns",
    "trim_advice",
    "twelfth_wave_match",
    "two_rows",
}


def _arguments(name):
    return [one for one in inspect.signature(FUNCTIONS[name]).parameters if one not in ("self", "cls")]


def _faults(name):
    docstring, function = parsed(FUNCTIONS[name]), FUNCTIONS[name]
    arguments, back = _arguments(name), str(inspect.signature(function).return_annotation)
    described = [one.arg_name for one in docstring.params]
    if described != arguments:
        yield f"Parameters are {described}, not {arguments}"
    yield from (f"{one.arg_name} has no description" for one in docstring.params if not one.description)
    if back not in ("None", "<class 'NoneType'>"):
        text = returned(docstring)
        if not text:
            yield "Returns is missing"
        elif NUMERIC.search(back) and not UNIT.search(text):
            yield f"Returns has no unit: {text!r}"
    if arguments and not docstring.raises and "progress" not in arguments:
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
