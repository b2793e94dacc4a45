"""How long dirt takes to settle to the bottom of still oil.

Method: Stokes, v = g d^2 (rp - ro) / (18 u), time = depth / v. Reynolds number ro v d / u.
Source: Perry's Chemical Engineers' Handbook, 8th edition, section 6, terminal velocity in the Stokes range; first
correction 1 + 3/16 Re of Oseen for the longest time, from memory.
Units: um, kg/m3, mPa s, mm, hours.
Valid: single grains in still, even oil, Reynolds number up to 0.5. Between 0.1 and 0.5 Stokes is some percent too fast,
so the range says by how much at most. Grains under 1 um are kept afloat by heat and are not taken.
Errors: refused where the grain does not sink, or the Reynolds number is over 0.5.
"""

from revive.figures.core import Figure, FigureError

GRAVITY_M_S2 = 9.80665
MOST_REYNOLDS = 0.5


def settling(
    particle_um: float, particle_kg_m3: float, oil_kg_m3: float, viscosity_mpa_s: float, depth_mm: float
) -> Figure:
    """Hours for a grain to sink through the whole depth, with speed (mm/h) and Reynolds number."""
    if particle_kg_m3 <= oil_kg_m3:
        raise FigureError(
            f"a particle of {particle_kg_m3:g} kg/m3 does not sink in oil of {oil_kg_m3:g} kg/m3\n"
            "    Is one of the densities mistyped? Grit has about 2600, steel 7850."
        )
    speed_m_s = stokes_speed_m_s(particle_um / 1e6, particle_kg_m3 - oil_kg_m3, viscosity_mpa_s / 1e3)
    reynolds = oil_kg_m3 * speed_m_s * particle_um / 1e6 / (viscosity_mpa_s / 1e3)
    if reynolds > MOST_REYNOLDS:
        raise FigureError(
            f"the Reynolds number is {reynolds:.3g}; Stokes' law holds up to {MOST_REYNOLDS:g}\n"
            "    So large a grain in so thin an oil sinks within minutes; no figure is given."
        )
    hours = depth_mm / 1e3 / speed_m_s / 3600
    fast = "Over Reynolds number 0.1 it takes longer than this, at most the high figure. " if reynolds > 0.1 else ""
    return Figure(
        "settling",
        hours,
        "h",
        "Stokes' law, v = g d^2 (density difference) / (18 viscosity); time = depth / v",
        "Perry's Chemical Engineers' Handbook, 8th edition, section 6",
        f"{fast}A single round grain in still oil. Flakes, sludge and a machine that is moved or warmed take longer.",
        {"low": hours, "high": hours * (1 + 3 / 16 * reynolds), "speed_mm_h": speed_m_s * 3.6e6, "reynolds": reynolds},
    )


def stokes_speed_m_s(size_m: float, density_difference_kg_m3: float, viscosity_pa_s: float) -> float:
    """Terminal speed of a small sphere; no check of range."""
    return GRAVITY_M_S2 * size_m**2 * density_difference_kg_m3 / (18 * viscosity_pa_s)
