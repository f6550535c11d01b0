"""The rules of the house, kept by a machine: style, types, floors, docstrings, names, and what an import costs."""

import ast
import inspect
import os
import subprocess
import sys
from pathlib import Path

import pytest

import workbook as wb

ROOT = Path(__file__).parent.parent
MODULES = sorted((ROOT / "workbook").rglob("*.py"))
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"}
LINT = "from importlinter.cli import lint_imports_command; lint_imports_command()"


@pytest.mark.parametrize(
    "arguments",
    [
        ("-m", "ruff", "check", "."),
        ("-m", "ruff", "format", "--check", "."),
        ("-m", "mypy"),
        ("-c", LINT),
    ],
    ids=["ruff", "format", "mypy", "floors"],
)
def test_the_tools_agree(arguments):
    done = subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, env=ENVIRONMENT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_is_longer_than_400_lines(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_function_is_longer_than_a_screen(path):
    """60 lines with its docstring is generous; design.md aims at bodies that fit a screen."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
            assert node.end_lineno - first.lineno < 50, node.name


TOP = set("README.md DEVELOPERS.md LICENSE pyproject.toml workbook notebooks tests cable_data".split())


def test_nothing_new_stands_at_the_top():
    ask = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(ask, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("no repository, so what belongs to the project cannot be told from what lies about")
    assert {path.partition("/")[0] for path in done.stdout.splitlines() if not path.startswith(".")} == TOP


# --- names ------------------------------------------------------------------------------------------------

STUB = ast.parse((ROOT / "workbook" / "__init__.pyi").read_text(encoding="utf-8"))
NAMES = sorted(
    alias.asname or alias.name for node in STUB.body if isinstance(node, ast.ImportFrom) for alias in node.names
)

CONTRACT = (
    "InputError Quantity quantity feet_inches bands band "
    "cables cable conductor_impedance shield_impedance electrical_length physical_length delay_length phase_of_delay "
    "total_loss check_frequency length_from_check_frequency input_impedance constant_cable ideal_cable "
    "load_design ring square row layout_from Layout trim_advice declination Ground Firing array_response rdf "
    "front_to_back signal_gain noise_gain white_noise_gain aligned_weights endfire_weights greatest_rdf_weights "
    "fewest_delays minimum_loss_pad transformer_turns quarter_wave_match twelfth_wave_match series_section_match "
    "compare_matches line_transfer Channel channel_errors phase_error Tolerance run_tolerance allowable "
    "rod_resistance two_rods_resistance strap_inductance wire_inductance surge_voltage "
    "read_sweep Measured measure_line matched_sets matched_pairs_in_series"
).split()
METHODS = (
    "attenuation velocity_factor group_velocity_factor characteristic_impedance propagation_constant "
    "nominal_velocity_factor nominal_impedance loop_resistance network with_cladding span"
).split()
# the contract's argument names are part of it
ARGUMENTS = {
    "quantity": ["text"],
    "feet_inches": ["length"],
    "bands": ["region"],
    "band": ["name", "region"],
    "cables": [],
    "cable": ["name"],
    "conductor_impedance": ["frequency", "radius", "layers", "inner_radius"],
    "shield_impedance": ["frequency", "radius", "thickness", "conductivity", "relative_permeability"],
    "electrical_length": ["length", "frequency", "velocity_factor"],
    "physical_length": ["electrical_length", "frequency", "velocity_factor"],
    "delay_length": ["delay", "velocity_factor", "frequency"],
    "phase_of_delay": ["delay", "frequency"],
    "total_loss": ["cable", "length", "frequency", "load"],
    "check_frequency": ["cable", "length", "far_end"],
    "length_from_check_frequency": ["cable", "frequency", "far_end"],
    "input_impedance": ["cable", "length", "frequency", "load"],
    "constant_cable": ["resistance", "inductance", "conductance", "capacitance"],
    "ideal_cable": ["impedance", "velocity_factor"],
    "load_design": ["path"],
    "ring": ["count", "diameter", "first_azimuth"],
    "square": ["side", "first_azimuth"],
    "row": ["count", "spacing", "azimuth"],
    "layout_from": ["positions"],
    "declination": ["latitude", "longitude", "date", "height"],
    "Ground": ["relative_permittivity", "conductivity"],
    "Firing": ["layout", "weights", "frequency", "azimuth", "elevation", "ground"],
    "array_response": ["firing", "azimuth", "elevation"],
    "rdf": ["firing"],
    "front_to_back": ["firing"],
    "signal_gain": ["firing"],
    "noise_gain": ["firing"],
    "white_noise_gain": ["firing"],
    "aligned_weights": ["layout", "frequency", "azimuth", "elevation"],
    "endfire_weights": ["layout", "frequency", "azimuth", "null_elevation", "polarity_inversion"],
    "greatest_rdf_weights": ["layout", "frequency", "azimuth", "elevation", "ground", "least_white_noise_gain"],
    "fewest_delays": (
        "layout frequencies azimuth elevation ground lines polarity_inversion least_white_noise_gain"
    ).split(),
    "minimum_loss_pad": ["high", "low"],
    "transformer_turns": ["source", "load", "most_turns"],
    "quarter_wave_match": ["source", "load", "frequency", "cable"],
    "twelfth_wave_match": ["source", "load", "frequency"],
    "series_section_match": ["line", "section", "load", "frequency"],
    "compare_matches": ["source", "load", "bands"],
    "line_transfer": ["cable", "length", "frequency", "source", "load"],
    "Channel": ["source", "run", "run_length", "line", "line_length", "port"],
    "channel_errors": ["channels", "delays", "frequency"],
    "trim_advice": (
        "cable measured_check_frequency wanted_delay band_frequency accept far_end connector_delay"
    ).split(),
    "read_sweep": ["path"],
    "Measured": ["value", "uncertainty"],
    "matched_sets": ["values", "set_size", "sets"],
    "matched_pairs_in_series": ["values", "pairs"],
    "measure_line": "open short through length cable connector_delay".split(),
    "phase_error": ["length", "frequency", "assumed", "true"],
    "Tolerance": ["what", "kind", "half_width", "standard_uncertainty", "shared"],
    "run_tolerance": (
        "firing tolerances trials seed delays velocity_factor same_line figures progress executor"
    ).split(),
    "allowable": ("firing tolerances figure least confidence delays velocity_factor same_line trials seed").split(),
}
CABLE_ARGUMENTS = {
    "attenuation": ["frequency"],
    "velocity_factor": ["frequency"],
    "group_velocity_factor": ["frequency"],
    "characteristic_impedance": ["frequency"],
    "propagation_constant": ["frequency"],
    "network": ["frequency", "length", "port_impedance"],
    "with_cladding": ["thickness"],
    "span": ["quantity", "frequency"],
}


@pytest.mark.parametrize("name", NAMES)
def test_every_name_of_the_stub_is_there(name):
    assert getattr(wb, name) is not None
    assert name in dir(wb)
    assert name in wb.__all__


@pytest.mark.parametrize("name", CONTRACT)
def test_every_name_of_the_contract_is_there(name):
    assert name in NAMES
    assert callable(getattr(wb, name))


@pytest.mark.parametrize("name", METHODS)
def test_a_cable_has_what_the_contract_asks(name):
    assert hasattr(wb.cable("series-6-clad"), name)


@pytest.mark.parametrize("name", ARGUMENTS)
def test_arguments_are_those_of_the_contract(name):
    """First these, in this order; what joins comes behind and has a default."""
    parameters = list(inspect.signature(getattr(wb, name)).parameters.values())
    wanted = ARGUMENTS[name]
    assert [parameter.name for parameter in parameters][: len(wanted)] == wanted
    assert all(parameter.default is not parameter.empty for parameter in parameters[len(wanted) :])


@pytest.mark.parametrize("name", CABLE_ARGUMENTS)
def test_arguments_of_a_cable_are_those_of_the_contract(name):
    wanted = CABLE_ARGUMENTS[name]
    assert list(inspect.signature(getattr(wb.Cable, name)).parameters)[1 : 1 + len(wanted)] == wanted


def test_a_name_that_is_not_there_is_an_ordinary_error():
    with pytest.raises(AttributeError):
        _ = wb.nothing_of_the_kind


def test_an_input_error_is_a_value_error():
    assert issubclass(wb.InputError, ValueError)


# --- rules of the code ------------------------------------------------------------------------------------

TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in MODULES}
every_module = pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))


def functions_of(path):
    return [node for node in ast.walk(TREES[path]) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


# libraries that a path which does not use them need not wait for
IMPORTED_INSIDE = {"skrf", "tomlkit", "matplotlib", "pygeomag", "scipy"}
# each command loads the rooms that it uses, so that listing the cables need not wait for a plan
LOADS_BY_COMMAND = {"workbook/cli.py"}


@every_module
def test_only_heavy_libraries_are_imported_inside_functions(path):
    found = set()
    for function in functions_of(path):
        for node in ast.walk(function):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                found.add((node.module or "").partition(".")[0])
    own = {"workbook"} if str(path.relative_to(ROOT)) in LOADS_BY_COMMAND else set()
    assert found <= IMPORTED_INSIDE | own


# functions that take the arguments of one of the contract's, which do not count
FAMILY = {
    "allowable_alone": "allowable",
    "_wanted": "allowable",
    "run_trials": "run_tolerance",
    "transformer_match": "compare_matches",
    "measure_resonance": "measure_line",
}
# the second coordinate of a place, or the second side of an area, counts with the first
COORDINATES = {"y", "y1", "x2", "y2", "height"}
# the one override of a library's method, whose signature is the library's
OVERRIDES = {"parse_expression"}


@every_module
def test_functions_take_at_most_six_parameters(path):
    """The contract's arguments do not count, since outside checks call them."""
    for function in functions_of(path):
        arguments = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
        names = {argument.arg for argument in arguments} - {"self", "cls"} - COORDINATES
        assert len(names - set(ARGUMENTS.get(FAMILY.get(function.name, function.name), ()))) <= 6, function.name
        assert function.args.kwarg is None or function.name in OVERRIDES, f"{function.name} takes **"


def caught_refusals(path):
    """Yield each place where a caught `InputError` is turned into text, and the nodes that enclose it."""

    def walk(node, enclosing, names):
        if isinstance(node, ast.ExceptHandler) and node.name and "InputError" in ast.unparse(node.type or node):
            names = {*names, node.name}
        made_text = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("str", "repr")
        inner = (
            node.args[0] if made_text and node.args else node.value if isinstance(node, ast.FormattedValue) else None
        )
        if isinstance(inner, ast.Name) and inner.id in names:
            yield node, enclosing
        for child in ast.iter_child_nodes(node):
            yield from walk(child, [node, *enclosing], names)

    yield from walk(TREES[path], [], set())


@every_module
def test_only_errors_writes_and_no_module_reads_the_sentence_of_a_refusal(path):
    """Showing it is what it is for; putting it into another refusal or looking into it loses its fields."""
    if path.name == "errors.py":
        return
    for node, enclosing in caught_refusals(path):
        statement = [one for one in enclosing if not isinstance(one, ast.stmt)]
        for one in statement:
            called = ast.unparse(one.func) if isinstance(one, ast.Call) else ""
            assert not called.endswith("InputError"), (
                f"line {node.lineno}: a refusal is written from another's sentence"
            )
            assert not called.startswith("re."), f"line {node.lineno}: a sentence is parsed"
            assert not isinstance(one, ast.Compare), f"line {node.lineno}: a sentence is compared"
            assert not (isinstance(one, ast.Attribute) and one.value is node), f"line {node.lineno}: {one.attr}"


# --- what the tests see -----------------------------------------------------------------------------------


@every_module
def test_every_refusal_says_what_would_be_right(path):
    for node in ast.walk(TREES[path]):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "InputError":
            given = {each.arg for each in node.keywords}
            # a sentence of the library that checks files comes with its own; it says what is allowed
            foreign = ast.unparse(node.args[0]) == "str(error)" if node.args else False
            assert foreign or given & {"remedy", "wanted", None}, ast.unparse(node)


def test_no_test_sees_the_user_s_own_cables():
    """The folder in their place was named before this module was read, so what is read while collecting is safe too."""
    assert list(Path(ENVIRONMENT["FEEDLINE_WORKBOOK_CABLES"]).iterdir()) == []


# --- what an import costs ---------------------------------------------------------------------------------

HEAVY = "pint numpy scipy pydantic matplotlib skrf jinja2 tomlkit ipywidgets anywidget jupyterlab platformdirs".split()


def modules_after(code):
    # pint imports dask where it happens to be installed
    script = f"import sys\nsys.modules['dask'] = None\n{code}\nprint(*sorted(m for m in sys.modules if '.' not in m))"
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, env=ENVIRONMENT, capture_output=True, text=True, check=True
    )
    return set(done.stdout.split())


def test_importing_the_workbook_imports_nothing_heavy():
    assert not modules_after("import workbook") & set(HEAVY)


def test_lengths_of_line_need_neither_drawing_nor_notebooks():
    found = modules_after("import workbook as wb\nwb.cable('series-6-copper').attenuation('1.83 MHz')")
    assert not found & {"matplotlib", "skrf", "jinja2", "ipywidgets", "anywidget", "jupyterlab", "tomlkit"}


def test_a_plan_needs_neither_drawing_nor_notebooks():
    design = "notebooks/heron-fen-ring.toml"
    found = modules_after(f"import workbook as wb\nwb.load_design({design!r}).plan().to_dict()")
    assert not found & {"matplotlib", "skrf", "jinja2", "ipywidgets", "anywidget", "jupyterlab"}


def test_the_package_is_typed():
    assert (ROOT / "workbook" / "py.typed").is_file()
