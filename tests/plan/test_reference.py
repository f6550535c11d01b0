"""The reference of the design file: complete, from the schema, and fit for a terminal."""

import pytest

import workbook as wb
from workbook.cli import main
from workbook.design.reference import key_tables
from workbook.design.site import ARRAYS

TABLES = key_tables()


@pytest.mark.parametrize("table", TABLES, ids=lambda table: f"{table.path} {table.condition}")
def test_every_key_has_a_meaning(table):
    assert table.meaning
    assert all(key.meaning and key.written for key in table.keys)


def test_every_key_of_every_kind_of_array_is_listed():
    listed = {key.name for table in TABLES if table.path == "array" for key in table.keys}
    assert listed == {key for kind in ARRAYS.values() for key in kind.model_fields}


def test_required_keys_are_those_a_design_cannot_do_without():
    required = {(table.path, key.name) for table in TABLES if not table.condition for key in table.keys if key.required}
    assert {("top level", "name"), ("cables", "delay_line"), ("directions", "azimuth")} <= required
    assert not {("cables", "element_run"), ("hub", "kind"), ("cutting", "accept")} & required


def test_a_table_is_listed_with_the_tables_inside():
    assert {table.path for table in key_tables("ends")} == {"ends.delay_line", "ends.element_run"}
    assert key_tables("[cutting]") == key_tables("cutting")


def test_an_unknown_table_offers_the_nearest():
    with pytest.raises(wb.InputError, match="array"):
        key_tables("aray")


def test_the_command_prints_it_in_80_columns(capsysbinary):
    assert main(["keys"]) == 0
    printed = capsysbinary.readouterr().out.decode()
    assert max(map(len, printed.splitlines())) <= 80
    assert "[cutting]" in printed
    assert main(["keys", "hub"]) == 0
    assert "merge" in capsysbinary.readouterr().out.decode()
