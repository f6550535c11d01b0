"""The design file, and the plan made from it: delays, lines to cut, runs, totals, warnings."""
