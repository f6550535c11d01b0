"""Worksheets' controls wired to functions; a notebook calls one function per panel."""

from workbook.panels.cable_loss import cable_loss as cable_loss
from workbook.panels.delay_lines import delay_lines as delay_lines
from workbook.panels.electrical_length import electrical_length as electrical_length
from workbook.panels.front_end import front_end as front_end
from workbook.panels.ground import ground_and_entry as ground_and_entry
from workbook.panels.layout import layout_and_stake_out as layout_and_stake_out
from workbook.panels.long_runs import coax_for_long_runs as coax_for_long_runs
from workbook.panels.matched_sets import matched as matched
from workbook.panels.matching import matching as matching
from workbook.panels.measure_and_trim import measure_and_trim as measure_and_trim
from workbook.panels.pattern import pattern as pattern
from workbook.panels.phase_error import phase_error as phase_error
from workbook.panels.real_ports import real_ports as real_ports
from workbook.panels.reels import reels_and_cutting_plan as reels_and_cutting_plan
from workbook.panels.start_page import start as start
from workbook.panels.tolerance import tolerance as tolerance
