"""Calibrating a reel in worksheet 04 in a real browser: readings calibrate the cable, only the button writes."""

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]


def test_readings_calibrate_the_cable_and_the_button_saves_it(lab, worksheet):
    mine = lab.cables
    with worksheet("04-electrical-length") as sheet:
        sheet.wait_run()
        sheet.choose("cable", "series-6-clad")
        sheet.wait_text(".results caption", "series-6-clad")
        sheet.type_in("length", "60")
        sheet.type_in("value", "9")
        sheet.wait_text(".reel-results", "11.4 um of copper")
        sheet.choose("way", "loop resistance, far end shorted")
        sheet.wait_text(".reel-results", "by loop resistance")
        sheet.type_in("value", "0.001")
        sheet.wait_text(".reel-results .refused", "all copper")
        sheet.choose("way", "check frequency, far end open")
        sheet.type_in("length", "20 m")
        sheet.type_in("value", "3.1")
        sheet.wait_text(".reel-results", "velocity factor 0.8")
        sheet.type_in("connector", "0.5")
        sheet.wait_text(".reel-results", "velocity factor 0.8")
        assert not mine.exists()
        sheet.type_in("name", "barn-reel")
        sheet.click("keep")
        sheet.wait_text(".reel-status", "saved")
        sheet.choose("cable", "barn-reel")
        sheet.wait_text(".results caption", "barn-reel")
    assert [path.name for path in mine.iterdir()] == ["barn-reel.toml"]


def test_what_is_being_typed_stays_while_the_label_of_its_field_changes(worksheet):
    with worksheet("04-electrical-length") as sheet:
        sheet.wait_run()
        sheet.type_in("length", "20 m")
        sheet.type_in("value", "9")
        sheet.wait_text(".reel-results .refused", "choose a clad cable")
        field = sheet.page.locator(".value input")
        field.fill("3.1")
        sheet.choose("way", "check frequency, far end open")
        sheet.wait_text(".value label", "MHz")
        field.press("Enter")
        sheet.wait_text(".reel-results", "velocity factor 0.8")
        field.fill("5.2")
        field.fill("3.1")
        field.press("Tab")
        sheet.type_in("value", "3.2")
        sheet.wait_text(".reel-results", "3.2 MHz")
        field.fill("4.1")
        sheet.choose("way", "centre resistance")
        sheet.wait_text(".value label", "ohm")
        field.press("Enter")
        field.fill("5.2")
        field.fill("4.1")
        field.press("Tab")
        assert field.input_value() == "4.1"
