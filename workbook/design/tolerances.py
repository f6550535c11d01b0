"""The tolerances that a design file says, as distributions."""

from typing import Literal

from pydantic import model_validator

from workbook.errors import InputError
from workbook.schema import Angle, Delay, Loss, NonNegativeLength, Strict, VelocityFactor
from workbook.tolerance.kinds import Tolerance
from workbook.units import Quantity


class ToleranceTable(Strict):
    """How exactly the array is built; what is left out is taken as exact."""

    distribution: Literal["uniform", "normal", "triangular"] = "uniform"
    """How errors are distributed: "uniform" and "triangular" with these half widths, "normal" with these standard
    deviations."""
    reel_velocity_factor: VelocityFactor | None = None
    """Error of the velocity factor that all delay lines share, since they come from one reel, such as 0.004."""
    line_velocity_factor: VelocityFactor | None = None
    """Error of velocity factor that each delay line has by itself, such as 0.001."""
    cut_length: NonNegativeLength | None = None
    """Error of length of each delay line."""
    shared_cut_length: NonNegativeLength | None = None
    """Error of length that all delay lines share, as with a wrong tape."""
    connector_delay: Delay | None = None
    """Error of delay of both connectors of a line together."""
    position: NonNegativeLength | None = None
    """Error of each stake, east and north."""
    gain: Loss | None = None
    """Error of gain of each channel."""
    phase: Angle | None = None
    """Error of phase of each channel, as from its amplifier."""

    @model_validator(mode="after")
    def _above_zero(self) -> "ToleranceTable":
        for name in ("cut_length", "shared_cut_length", "connector_delay", "position", "gain", "phase"):
            value = getattr(self, name)
            if value is not None and not value.magnitude > 0:
                raise InputError(f"{value:~P} is not above zero", where=name, remedy="take the key out")
        if self.gain is not None and self.gain.m_as("dB") >= MOST_GAIN:
            raise InputError(f"{self.gain:~P} is too wide", where="gain", wanted=f"less than {MOST_GAIN:g} dB")
        return self

    def tolerances(self) -> tuple[Tolerance, ...]:
        """Return the tolerances that the table names, in its order."""
        spread = "standard_uncertainty" if self.distribution == "normal" else "half_width"
        found = []
        for key, (what, shared) in KINDS.items():
            value = getattr(self, key)
            if value is not None:
                plain = relative(value) if key == "gain" else value
                found.append(Tolerance(what, self.distribution, shared=shared, **{spread: plain}))
        return tuple(found)


MOST_GAIN = 6.0
"""Errors of gain are below this [dB]."""

KINDS = {
    "reel_velocity_factor": ("velocity factor", "reel"),
    "line_velocity_factor": ("velocity factor", "each"),
    "cut_length": ("cut length", "each"),
    "shared_cut_length": ("cut length", "reel"),
    "connector_delay": ("connector delay", "each"),
    "position": ("position", "each"),
    "gain": ("amplitude", "each"),
    "phase": ("phase", "each"),
}
"""What each key is a tolerance on, and what shares its errors."""


def relative(gain: Loss) -> float:
    """Return a gain error [dB] as a relative amplitude."""
    return float(10 ** (gain.m_as("dB") / 20) - 1)


USUAL = ToleranceTable(
    reel_velocity_factor=0.005,
    cut_length=Quantity(1.0, "cm"),
    position=Quantity(5.0, "cm"),
    gain=Quantity(0.2, "dB"),
    phase=Quantity(1.0, "degree"),
)
"""What a careful builder holds: the proportions of tolerances where a design says none."""
