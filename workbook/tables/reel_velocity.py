"""What readings that are off by the same share mean, in words."""

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
