"""The plans of the demo designs, and of the contract's, against a script that shares no code with the workbook."""

import ast
import copy
import functools
import importlib.util
import json
import subprocess
import sys
from pathlib import Path

import pytest

import workbook as wb

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SCRIPT = HERE / "independent_plan.py"
CABLES = ROOT / "cable_data"
DESIGNS = {
    "ring": ROOT / "notebooks" / "heron-fen-ring.toml",
    "square": ROOT / "notebooks" / "heron-fen-square.toml",
    # has a measured velocity factor, which the demos have not
    "contract": HERE / "contract-design.toml",
    # has counts that differ by direction, merged delays, a hub beside the centre
    "varied": HERE / "varied-design.toml",
    # the other rules, hubs, kinds of array and ground
    "endfire": HERE / "endfire-row.toml",
    "endfire reversed": HERE / "endfire-two-rows.toml",
    "entered": HERE / "entered-row.toml",
    "greatest": HERE / "greatest-rdf.toml",
    "greatest ladder": HERE / "greatest-ring.toml",
    "fewest": HERE / "fewest-ring.toml",
    # from the verticals to the receiver, with feed, prices and reels
    "receive": HERE / "receive-square.toml",
}
every_design = pytest.mark.parametrize("design", DESIGNS.values(), ids=DESIGNS)


@functools.cache
def _text(design):
    """The JSON of a design's plan."""
    return json.dumps(wb.load_design(design).plan().to_dict(), allow_nan=False)


def _plan(design):
    return json.loads(_text(design))


def _run(plan, design):
    """Run the script in a Python of its own that sees neither the environment nor the folder of this one."""
    command = [sys.executable, "-I", str(SCRIPT), str(plan), str(design), str(CABLES)]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=plan.parent)


@every_design
def test_plan_agrees_with_the_independent_script(design, tmp_path):
    plan = tmp_path / "plan.json"
    plan.write_text(_text(design), encoding="utf-8")
    done = _run(plan, design)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "every number agrees" in done.stdout


def test_the_script_uses_nothing_of_ours():
    tree = ast.parse(SCRIPT.read_text(encoding="utf-8"))
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            names.add(node.module.partition(".")[0])
    allowed = {"csv", "functools", "hashlib", "itertools", "json", "pathlib", "re", "sys", "tomllib", "typing"}
    assert names <= allowed | {"numpy", "scipy"}


@pytest.fixture(scope="module")
def script():
    spec = importlib.util.spec_from_file_location("independent_plan", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _numbers(part, path=()):
    """Yield the way to every number of a plan."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield from _numbers(value, (*path, key))
    elif isinstance(part, list):
        for n, value in enumerate(part):
            yield from _numbers(value, (*path, n))
    elif isinstance(part, int | float):
        yield path


# what stands at nought in a demo is moved by something that would be seen on site
_LEAST = {
    "delay_s": 1e-12,
    "azimuth_deg": 0.01,
    "magnetic_deg": 0.01,
    "declination_deg": 0.01,
    "phase_from_rule_deg": 1e-3,
    "rdf_db": 1e-4,
    "rule_rdf_db": 1e-4,
    "front_to_back_db": 1e-4,
    "signal_gain_db": 1e-4,
    "noise_gain_db": 1e-4,
    "white_noise_gain_db": 1e-4,
    "rdf_lost_to_errors_db": 1e-4,
    "elsewhere_over_aim_db": 1e-4,
    "sharing_error_deg": 1e-3,
    "front_to_rear_worst_db": 0.02,
    "front_to_rear_mean_db": 0.04,
    "azimuth_beamwidth_deg": 0.2,
    "elevation_beamwidth_deg": 0.2,
    "peak_elevation_deg": 0.4,
    "below_greatest_db": 0.1,
    "bearing_deg": 0.2,
    "phase_error_deg": 1e-3,
    "nominal_phase_error_deg": 1e-3,
    "amplitude": 1e-4,
    "strip_m": 1e-4,
    "connector_delay_s": 1e-13,
    "distance_m": 1e-3,
    "east_m": 1e-3,
    "north_m": 1e-3,
    "hub_east_m": 1e-3,
    "hub_north_m": 1e-3,
    "nominal_length_error_m": 1e-4,
    "rdf_lost_db": 1e-4,
    "front_to_back_lost_db": 1e-4,
    "choke_rdf_lost_db": 1e-4,
    "choke_front_to_back_lost_db": 1e-4,
    "level_db": 1e-4,
    "opened_m": 1e-2,
    "waste_m": 1e-2,
    "left_m": 1e-2,
    "gap": 1e-3,
}


def _nudged(plan, path):
    """The plan with one number a little off: a count by one, anything else by a hundredth of a per cent or more."""
    other = copy.deepcopy(plan)
    *way, last = path
    part = other
    for step in way:
        part = part[step]
    part[last] = part[last] + (1 if isinstance(part[last], int) else 1e-4 * abs(part[last]) + _LEAST.get(last, 0.0))
    return other


def _taken(plan, path):
    """Whether the script takes a number from the plan, since only a search can find it."""
    return plan["rule"] == "fewest-delays" and path[0] == "directions" and path[-1] in ("delay_s", "polarity")


def _seen_in_search(script, nudged, design):
    """What the search must keep is looked at first, since the rest takes longer."""
    found = script.Design(design, CABLES, nudged)
    return script.search_faults(found, design, CABLES) or script.compare(nudged, design, CABLES)


@every_design
def test_the_script_sees_every_number(script, design):
    """A number that it passed over, or compared too loosely, would prove nothing: each is moved, one by one."""
    plan = script.ordered(_plan(design))
    wanted = script.expected(design, CABLES, plan)
    assert script.differences(wanted, plan) == []
    paths = list(_numbers(plan))
    assert len(paths) > 100
    unseen = []
    for path in paths:
        nudged = _nudged(plan, path)
        seen = _seen_in_search(script, nudged, design) if _taken(plan, path) else script.differences(wanted, nudged)
        if not seen:
            unseen.append(path)
    assert unseen == []


def test_a_number_too_many_or_too_few_is_seen(script):
    plan = script.ordered(_plan(DESIGNS["ring"]))
    wanted = script.expected(DESIGNS["ring"], CABLES, plan)
    del plan["delay_lines"][0]["check"]["hz_per_m"]
    plan["delay_lines"][0]["another_m"] = 1.0
    assert len(script.differences(wanted, plan)) == 2


def _moved(plan, to):
    """The plan with the first direction's feeds changed by a function of their delay and polarity."""
    other = copy.deepcopy(plan)
    for feed in other["directions"][0]["elements"]:
        feed["delay_s"], feed["polarity"] = to(feed["delay_s"], feed["polarity"])
    return other


def test_the_script_would_see_a_poor_search(script):
    """What is taken from the plan is judged: worse delays, reversals, or rows torn apart are told."""
    design = DESIGNS["fewest"]
    plan = script.ordered(_plan(design))

    def faults(found):
        return script.search_faults(script.Design(design, CABLES, found), design, CABLES)

    assert faults(plan) == []
    longer = _moved(plan, lambda delay, sign: (delay * 1.05, sign))
    assert any("chance has found" in fault for fault in faults(longer))
    straight = _moved(plan, lambda delay, _: (delay, 1))
    assert any("chance has found" in fault for fault in faults(straight))
    torn = copy.deepcopy(plan)
    torn["directions"][0]["elements"][1]["delay_s"] *= 1.001
    assert any("one row" in fault for fault in faults(torn))
    assert any("more delays" in fault for fault in faults(torn))
