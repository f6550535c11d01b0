"""Worksheets' controls wired to functions; a notebook calls one function per panel."""

from workbook.panels.delay_lines import delay_lines as delay_lines
from workbook.panels.reel import reel as reel
