"""Turns chosen for the bands of interest, against every pair of turns tried one by one as a match of its own."""

import numpy as np
import pytest

import workbook as wb
from workbook.matching.arguments import band_edges, sampled
from workbook.matching.transformer import Core, Turns, best_transformer, transformer_match

BANDS = [("160 m",), ("40 m", "20 m"), ("20 m", "15 m", "10 m"), ("160 m", "80 m")]


def tried(source, load, hertz, most=36, core=None):
    """Worst SWR at either end and worst loss [dB] of every pair of turns."""
    found = {}
    for first in range(1, most + 1):
        for second in range(1, most + 1):
            match = transformer_match(
                wb.Quantity(source, "ohm"), wb.Quantity(load, "ohm"), core, Turns(first, second, 0)
            )
            swr_in, swr_out, loss, _ = match.plain(hertz)
            found[first, second] = max(swr_in.max(), swr_out.max()), loss.max()
    return found


def check(found, swr_limit, loss_limit, chosen):
    """Within the limits if any turns are, then the least loss, else the nearest to them; of equals the fewest turns."""
    swr, loss = found[chosen]
    within = {pair: did for pair, did in found.items() if did[0] <= swr_limit and did[1] <= loss_limit}
    if within:
        assert chosen in within
        assert loss <= min(loss for _, loss in within.values()) + 0.0101
        as_good = [pair for pair, did in within.items() if did[0] <= swr - 0.01 and did[1] <= loss - 0.01]
        fewer = [pair for pair, did in within.items() if sum(pair) < sum(chosen) and did[0] <= swr and did[1] <= loss]
        assert as_good == fewer == []
    else:
        used = {pair: max((swr - 1) / (swr_limit - 1), loss / loss_limit) for pair, (swr, loss) in found.items()}
        assert used[chosen] <= min(used.values()) + 0.0101
        assert [pair for pair in found if sum(pair) < sum(chosen) and used[pair] <= used[chosen] - 0.01] == []


@pytest.mark.parametrize("ends", [(75.0, 50.0), (50.0, 75.0)])
@pytest.mark.parametrize("bands", BANDS)
def test_no_other_turns_do_better(ends, bands):
    found = wb.compare_matches(*(wb.Quantity(ohms, "ohm") for ohms in ends), bands)
    windings = next(match.parts[0] for match in found if match.name == "wideband transformer")
    chosen = windings.source_turns, windings.load_turns
    check(tried(*ends, sampled(band_edges(bands))), 1.2, 1.0, chosen)


@pytest.mark.parametrize(
    ("source", "load", "core", "limits"),
    [
        (50.0, 450.0, Core("100 nH", 0.99, 3, 20), (1.5, 0.5)),
        (60 + 20j, 200.0, Core("1 uH", 0.995, 10, 50), (1.3, 1.0)),
        (75.0, 50.0, Core("10 nH"), (1.2, 1.0)),  # so poor that nothing keeps within
        (20 - 60j, 10 + 5j, Core(), (2.0, 1.0)),
    ],
)
def test_other_ends_cores_and_limits(source, load, core, limits):
    hertz = sampled(band_edges(("160 m", "40 m")))
    windings = best_transformer(source, load, core, 20, hertz, limits).parts[0]
    check(tried(source, load, hertz, 20, core), *limits, (windings.source_turns, windings.load_turns))


def test_turned_round_the_turns_are_too():
    for bands in BANDS:
        hertz = sampled(band_edges(bands))
        there, back = (best_transformer(*ends, None, 36, hertz, (1.2, 1.0)) for ends in ((75.0, 50.0), (50.0, 75.0)))
        assert (there.parts[0].source_turns, there.parts[0].load_turns) == (
            back.parts[0].load_turns,
            back.parts[0].source_turns,
        )


def test_bands_that_only_a_good_choice_of_turns_keeps():
    """On 40 and 20 m, and on 20, 15 and 10 m, the nearest ratio to 75/50 with few turns, 11 to 9, does not keep."""
    for bands in BANDS[1:3]:
        first = wb.compare_matches("75 ohm", "50 ohm", bands)[0]
        assert first.name == "wideband transformer"
        assert first.excess(sampled(band_edges(bands)), (1.2, 1.0)).max() <= 1
        nearest = transformer_match("75 ohm", "50 ohm", None, Turns(11, 9, 0))
        assert np.max(nearest.excess(sampled(band_edges(bands)), (1.2, 1.0))) > 1
