"""A refusal carries its parts as fields and is written as a sentence in one place."""

import pickle

import numpy as np
import pytest

import workbook as wb
from workbook import checks


def test_every_field_stands_in_the_sentence():
    error = wb.InputError("came in m", where=("a.toml", "bands"), wanted="Hz", remedy="check the unit")
    assert str(error) == "a.toml: bands: came in m, but Hz is wanted; check the unit."


def test_a_problem_alone_is_a_sentence():
    assert str(wb.InputError("the file is empty")) == "the file is empty."


def test_a_question_ends_with_its_own_mark():
    assert str(wb.InputError("'rign' is not known", remedy="did you mean ring?")).endswith("did you mean ring?")


def test_enclosing_places_come_first():
    error = wb.InputError("is empty", where="name").within("a.toml", "array")
    assert (error.where, str(error)) == (("a.toml", "array", "name"), "a.toml: array: name: is empty.")


def test_an_argument_is_renamed_and_nothing_else():
    error = wb.InputError("name is empty", where=("name", "file"), remedy="write a name").renamed("name", "cables")
    assert str(error) == "cables: file: name is empty; write a name."


def test_several_faults_are_one_refusal_with_a_line_each():
    faults = (wb.InputError("is empty", where="name"), wb.InputError("is negative", where="slack"))
    together = wb.InputError.together(faults).within("a.toml")
    assert str(together).splitlines() == ["a.toml: name: is empty.", "a.toml: slack: is negative."]
    assert [fault.where for fault in together.faults] == [("a.toml", "name"), ("a.toml", "slack")]


@pytest.mark.parametrize("count", [1, 2])
def test_a_refusal_survives_pickling(count):
    error = wb.InputError.together([wb.InputError("is empty", where="name", remedy="write one")] * count)
    again = pickle.loads(pickle.dumps(error))
    assert (str(again), again.where, again.remedy) == (str(error), error.where, error.remedy)


@pytest.mark.parametrize("value", [True, 3.0, "3", None, [3], 1, 9, wb.Quantity(3, "m")])
def test_whole_number_rejects_what_is_not_one_within_its_ends(value):
    with pytest.raises(wb.InputError, match=r"^count: got .*, but a whole number from 2 to 8 is wanted\.$"):
        checks.whole_number(value, "count", 2, 8)


def test_whole_number_accepts_numpy_integers():
    assert checks.whole_number(np.int64(2), "count", 2, 8) == 2


@pytest.mark.parametrize("value", [True, "3", None, [3], 0.5, float("nan"), wb.Quantity(3, "m")])
def test_plain_number_rejects_what_is_not_one_within_its_ends(value):
    with pytest.raises(wb.InputError, match="q: got"):
        checks.plain_number(value, "q", 1, 8, "3")


@pytest.mark.parametrize("value", [1, 0, "yes", None, [True]])
def test_flag_rejects_what_only_counts_as_true_or_false(value):
    with pytest.raises(wb.InputError, match=r"loop: got .*, but True or False is wanted"):
        checks.flag(value, "loop")


def test_instance_rejects_another_class():
    with pytest.raises(wb.InputError, match=r"cable: got 'rg', but a Cable is wanted; write wb\.cable"):
        checks.instance("rg", wb.Cable, "cable", "write wb.cable('series-6-copper')")


def test_single_rejects_several_values():
    assert checks.single(np.array(2.5), "length") == 2.5
    with pytest.raises(wb.InputError, match="length: got 2 values, but one value is wanted"):
        checks.single(np.ones(2), "length")
