"""Checking files: every fault in one refusal, each with its key, what came, what is wanted and the remedy."""

from typing import Annotated, Literal

import pytest
from pydantic import Field, model_validator

from workbook.errors import InputError
from workbook.schema import Length, Place, Strict, VelocityFactor, checked, number, read_toml


class Round(Strict):
    kind: Literal["round"]
    diameter: Length = Field(examples=['"42 m"'])


class Straight(Strict):
    kind: Literal["straight"]
    spacing: Length
    azimuth: Literal["north", "east"] = "north"

    @model_validator(mode="after")
    def _short(self):
        if self.spacing.m_as("m") > 100:
            raise InputError("is too long", where="spacing", remedy="write 100 m or less")
        return self


class Site(Strict):
    name: str
    array: Round | Straight = Field(discriminator="kind")
    corners: list[Place] = Field(default_factory=list)
    factors: dict[str, VelocityFactor] = Field(default_factory=dict)
    count: Annotated[float, number(1, 8, "4")] = 4


RIGHT = {"name": "mead", "array": {"kind": "round", "diameter": "42 m"}}


def faults(**changes):
    with pytest.raises(InputError) as caught:
        checked(Site, {**RIGHT, **changes}, "site.toml")
    assert all(fault.where[0] == "site.toml" for fault in caught.value.faults)
    return caught.value.faults


def test_all_faults_come_together_in_the_order_of_the_file():
    data = {
        "corners": [["0 m", "0 m"], "here", ["1 m", "1 s"]],
        "count": 9,
        "factors": {"a": 0.5, "b": 66, "c": 0},
        "array": {"kind": "straight", "azimuth": "west", "colour": "red"},
    }
    with pytest.raises(InputError) as caught:
        checked(Site, data, "site.toml")
    places = [fault.where[1:] for fault in caught.value.faults]
    assert places == [
        ("corners[2]",),
        ("corners[3]",),
        ("count",),
        ("factors.b",),
        ("factors.c",),
        ("array.azimuth",),
        ("array",),
        ("array",),
        (),
    ]
    text = str(caught.value).splitlines()
    assert text[6:] == [
        "site.toml: array: unknown key 'colour'; known are kind, spacing, azimuth.",
        "site.toml: array: the key spacing is missing; add it.",
        "site.toml: the key name is missing; add it.",
    ]


def test_a_fault_carries_its_parts_as_fields():
    (fault,) = faults(count="4")
    assert (fault.where, fault.problem) == (("site.toml", "count"), "got '4'")
    assert (fault.wanted, fault.remedy) == ("a plain number from 1 to 8", "write it like 4")


def test_a_misspelt_key_is_one_fault():
    (fault,) = faults(array={"kind": "round", "diamter": "42 m"})
    assert fault.where == ("site.toml", "array")
    assert (fault.problem, fault.remedy) == ("unknown key 'diamter'", "did you mean diameter?")


def test_a_missing_key_has_its_example():
    (fault,) = faults(array={"kind": "round"})
    assert (fault.problem, fault.remedy) == ("the key diameter is missing", 'write diameter = "42 m"')


def test_a_validator_names_the_key_in_its_table():
    (fault,) = faults(array={"kind": "straight", "spacing": "101 m"})
    assert fault.where == ("site.toml", "array.spacing")


@pytest.mark.parametrize(
    ("table", "where", "words"),
    [
        ({}, "array", 'the key kind is missing; write kind = "round" or "straight".'),
        ({"kind": "rond"}, "array.kind", "'rond' is not known; did you mean round?"),
        (5, "array", "got 5, but a table of keys is wanted."),
    ],
)
def test_a_table_of_several_kinds_names_them(table, where, words):
    (fault,) = faults(array=table)
    assert fault.where[1] == where
    assert str(fault).endswith(words)


@pytest.mark.parametrize("text", ["a = 1\na = 2", "a = " + "[" * 3000, "a"])
def test_read_toml_rejects_what_is_not_toml(tmp_path, text):
    path = tmp_path / "broken.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="is not valid TOML") as caught:
        read_toml(path)
    assert caught.value.where == (str(path),)


@pytest.mark.parametrize("name", ["\0.toml", "\ud800.toml", "x" * 5000])
def test_read_toml_rejects_a_name_that_no_file_can_have(tmp_path, name):
    with pytest.raises(InputError):
        read_toml(tmp_path / name)
