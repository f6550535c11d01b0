"""The names that outside checks call: arguments first, in this order; what joins comes behind and has a default."""

import inspect

import pytest

import workbook as wb

ARGUMENTS = {
    "short_vertical": "height diameter",
    "FrontEnd": "vertical input_resistance input_capacitance choke_inductance choke_q choke_capacitance",
    "phase_spread": "front_end frequency inductance_tolerance",
    "transmitter_field": "power distance frequency",
    "external_noise": "frequency environment",
    "Stage": "name gain noise_figure temperature",
    "cascade": "stages",
    "noise_margin": "firing external element stages",
    "dc_drop": "current length loop_resistance",
    "cut_plan": "pieces reels kerf together time_limit",
}
METHODS = {
    "ShortVertical": "capacitance effective_height impedance",
    "FrontEnd": "transfer voltage cutoff",
    "NoiseMargin": "margin external front_end chain",
    "CutPlan": "cuts waste proven gap",
}


@pytest.mark.parametrize("name", ARGUMENTS)
def test_arguments_are_those_of_the_contract(name):
    parameters = list(inspect.signature(getattr(wb, name)).parameters.values())
    wanted = ARGUMENTS[name].split()
    assert [parameter.name for parameter in parameters][: len(wanted)] == wanted
    assert all(parameter.default is not parameter.empty for parameter in parameters[len(wanted) :])


@pytest.mark.parametrize("name", METHODS)
def test_results_have_the_fields_of_the_contract(name):
    kind = getattr(wb, name)
    known = set(dir(kind)) | set(inspect.signature(kind).parameters)
    assert set(METHODS[name].split()) <= known
