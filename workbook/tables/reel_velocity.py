"""What readings that are off by the same share mean, in words."""

from workbook.bench.measured import Measured
from workbook.plan.reel_velocity import ReelVelocity


def reel_sentence(found: ReelVelocity) -> str:
    """Say what the readings mean.

    Examples
    --------
    >>> reel_sentence(ReelVelocity("series-6-copper", 0.8372, 0.8290, 1.84e6, 3))
    "All 3 readings of first cuts are 1.0 % high: your reel's velocity factor is 0.8372 at 1.84 MHz, not 0.8290."
    """
    side = "high" if found.share > 0 else "low"
    return (
        f"All {found.readings} readings of first cuts are {abs(found.share):.1%} {side}: your reel's velocity factor "
        f"is {found.velocity_factor:.4f} at {found.hertz / 1e6:.6g} MHz, not {found.assumed:.4f}."
    ).replace("%", " %")


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
