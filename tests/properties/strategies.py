"""What the properties draw from: cables, lengths, frequencies, delays; all within what builders meet."""

import math

from hypothesis import settings
from hypothesis import strategies as st

import workbook as wb

Q = wb.Quantity

often = settings(max_examples=60, deadline=None, derandomize=True, database=None)
seldom = settings(max_examples=20, deadline=None, derandomize=True, database=None)


def between(low: float, high: float, unit: str) -> st.SearchStrategy:
    """Quantities spread evenly over the decades between two limits."""
    return st.floats(math.log(low), math.log(high)).map(lambda x: Q(math.exp(x), unit))


frequencies = between(1e5, 1e9, "Hz")
low_bands = between(1.5e6, 30e6, "Hz")
lengths = between(0.05, 150, "m")
delays = between(1, 700, "ns")
velocity_factors = st.floats(0.3, 1.0)

clad_cables = st.sampled_from([wb.cable(name) for name in wb.cables() if wb.cable(name).is_clad])
bundled_cables = st.sampled_from([wb.cable(name) for name in wb.cables()])
ideal_cables = st.builds(wb.ideal_cable, between(20, 600, "ohm"), velocity_factors)
constant_cables = st.builds(
    lambda resistance, impedance, v, conductance: wb.constant_cable(
        Q(resistance, "ohm/m"),
        Q(impedance / (v * 299_792_458.0), "H/m"),
        Q(conductance, "S/m"),
        Q(1 / (impedance * v * 299_792_458.0), "F/m"),
    ),
    st.floats(0, 1),
    st.floats(30, 300),
    st.floats(0.5, 1.0),
    st.floats(0, 1e-5),
)


@st.composite
def one_cladding(draw: st.DrawFn) -> wb.Cable:
    """A clad cable at one cladding of its range."""
    cable = draw(clad_cables)
    low, high = (math.log(end) for end in cable.model.cladding_range)
    return cable.with_cladding(Q(math.exp(draw(st.floats(low, high))), "m"))


@st.composite
def measured(draw: st.DrawFn) -> wb.Cable:
    """A bundled cable with a velocity factor a few per cent off its own, measured somewhere."""
    cable, frequency = draw(bundled_cables), draw(low_bands)
    return cable.with_velocity_factor(cable.velocity_factor(frequency) * draw(st.floats(0.95, 1.05)), frequency)


passive_cables = bundled_cables | one_cladding() | constant_cables | ideal_cables
lossy_cables = bundled_cables | one_cladding() | measured() | constant_cables
any_cables = passive_cables | measured()

loads = st.builds(
    lambda size, angle: Q(size * complex(math.cos(angle), math.sin(angle)), "ohm"),
    between(1, 5000, "").map(lambda q: q.magnitude),
    st.floats(-1.5, 1.5),
)
