"""How many years at another temperature age rubber as much as its years in store.

Method: Arrhenius, rate = exp(Ea / R (1/Tref - 1/Tstore)), equivalent years = years x rate.
Source: ISO 11346:2023, Arrhenius route (its second route, for other behaviour, is not used); R = 8.314462618 J/(mol K),
CODATA 2018. Activation energies of 50 to 100 kJ/mol for common rubbers, 80 as the middle, are from memory.
Units: years, C, kJ/mol.
Valid: ageing by heat alone, one mechanism. Ozone, oil, petrol, light, strain and frost are left out and are often what
ends a part. ISO 2230 and SAE ARP5316 set lives for loose packed seals only and none for fitted parts, so they are not
used. It compares; it never says that a part is good.
Errors: ranges only.
"""

from math import exp

from revive.figures.core import Figure

GAS_J_MOL_K = 8.314462618
KELVIN = 273.15
LOW_KJ_MOL, HIGH_KJ_MOL = 50.0, 100.0


def rubber_ageing(years: float, stored_c: float, reference_c: float = 25.0, activation_kj_mol: float = 80.0) -> Figure:
    """Equivalent years at the reference temperature, with the range of 50 to 100 kJ/mol."""
    energies = (activation_kj_mol, LOW_KJ_MOL, HIGH_KJ_MOL)
    equivalents = [years * rate(energy, reference_c, stored_c) for energy in energies]
    return Figure(
        "rubber_ageing",
        equivalents[0],
        "years",
        "Arrhenius: years x exp(Ea / R (1/Tref - 1/Tstore))",
        "ISO 11346:2023, Arrhenius route; activation energies from memory",
        "A comparison by heat alone, never a verdict: ozone, oil, light and strain age rubber too. Published shelf "
        "lives are for loose packed seals and set no life for fitted parts. Look, squeeze and bend the part.",
        {"low": min(equivalents), "high": max(equivalents), "rate": rate(activation_kj_mol, reference_c, stored_c)},
    )


def rate(activation_kj_mol: float, from_c: float, to_c: float) -> float:
    """How many times faster ageing runs at `to_c` than at `from_c`."""
    inverse = 1 / (from_c + KELVIN) - 1 / (to_c + KELVIN)
    return exp(activation_kj_mol * 1000 / GAS_J_MOL_K * inverse)
