"""What readings that are off by the same share mean, in words."""

from workbook.bench.measured import Measured
from workbook.plan.reel_velocity import ReelVelocity


def reel_sentence(found: ReelVelocity) -> str:
    """Say what the readings mean.

    Examples
    --------
    >>> reel_sentence(ReelVelocity("series-6-copper", 0.8372, 0.8290, 1.84e6, 3))
    "All 3 readings of first cuts are 1.0 % high: your reel's velocity factor is 0.8372 at 1.84 MHz, not 0.8290."
    >>> reel_sentence(ReelVelocity("series-6-copper", 0.8372, 0.8290, 1.84e6, 3, 2)).partition(". ")[2]
    'The other 2 lie in their accept range, so they count as trimmed and say nothing of the reel.'
    """
    side = "high" if found.share > 0 else "low"
    of_all = (
        f"{found.readings} of {found.readings + found.good}"
        if found.good
        else "Both"
        if found.readings == 2
        else f"All {found.readings}"
    )
    said = (
        f"{of_all} readings of first cuts are {abs(found.share):.1%} {side}: your reel's velocity factor "
        f"is {found.velocity_factor:.4f} at {found.hertz / 1e6:.6g} MHz, not {found.assumed:.4f}."
    ).replace("%", " %")
    if not found.good:
        return said
    if found.good == 1:
        return f"{said} The other one lies in its accept range, so it counts as trimmed and says nothing of the reel."
    others = f"The other {found.good} lie in their accept range"
    return f"{said} {others}, so they count as trimmed and say nothing of the reel."


def reel_mean_sentence(cable: str, velocity: Measured, hertz: float) -> str:
    """Say what measured pieces of known length mean.

    Examples
    --------
    >>> reel_mean_sentence("series-6-copper", Measured(0.8372, 0.0004), 1.84e6)
    'The reel of series-6-copper has velocity factor 0.8372 ± 0.0004 at 1.84 MHz, the weighted mean of its pieces.'
    """
    return (
        f"The reel of {cable} has velocity factor {velocity.value:.4f} ± {velocity.uncertainty:.4f} at "
        f"{hertz / 1e6:.6g} MHz, the weighted mean of its pieces."
    )
