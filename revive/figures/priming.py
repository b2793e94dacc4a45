"""How long to crank until oil arrives, and whether the battery can do it.

Method: time = volume / (pump size x speed x efficiency), the definition of volumetric efficiency; charge = current x
time. The high figure for charge takes Peukert's rule with exponent 1.2, since a starter draws far more than the rate
at which capacity is marked.
Source: definition of a displacement pump's delivery, Q = V n efficiency. Bursts of 10 s with 60 s of rest: Kohler
CH11-16 service manual, p. 8.11. From memory: efficiency 0.5 of a dry cold pump (no published figure was found), the
exponent, the halving for the longest time, and that a prime should take no more than half of the charge. Capacity at
the 20 h rate is taken, by common practice; small batteries are often marked at the 10 h rate.
Units: ml, rpm, s, A, Ah, %.
Valid: plugs out, suction sound, filter and oilways as filled as `volume_ml` says.
Errors: ranges only.
"""

from math import ceil

from revive.figures.core import Figure

BURST_S = 10.0
REST_S = 60.0
PEUKERT = 1.2
RATE_H = 20.0
MOST_SHARE_PCT = 50.0


def prime_time(pump_ml_per_crank_rev: float, crank_rpm: float, volume_ml: float, efficiency: float = 0.5) -> Figure:
    """Seconds of cranking, rests not counted, with bursts and the time by the clock."""
    full = volume_ml / (pump_ml_per_crank_rev * crank_rpm / 60)
    seconds = full / efficiency
    bursts = ceil(round(seconds / BURST_S, 9))
    return Figure(
        "prime_time",
        seconds,
        "s",
        "volume / (pump x speed x efficiency); bursts of 10 s with 60 s of rest between",
        "definition of a pump's volumetric efficiency; starter duty: Kohler CH11-16 service manual, p. 8.11",
        "The efficiency of a dry, cold pump is from memory: low is for a pump that loses nothing, high for half of it. "
        "No oil in twice the time means trace the suction, not crank on. The maker's manual governs.",
        {
            "low": full,
            "high": 2 * seconds,
            "bursts": bursts,
            "elapsed_s": seconds + max(0, bursts - 1) * REST_S,
        },
    )


def prime_charge(starter_a: float, cranking_s: float, battery_ah: float, state_of_charge_pct: float) -> Figure:
    """Share of the charge there is that the cranking takes (%), over 100 where it does not suffice."""
    there_ah = battery_ah * state_of_charge_pct / 100
    taken_ah = starter_a * cranking_s / 3600
    low = 100 * taken_ah / there_ah if there_ah else (100.0 if taken_ah else 0.0)
    high = low * max(1.0, starter_a / (battery_ah / RATE_H)) ** (PEUKERT - 1)
    can = "yes" if high <= MOST_SHARE_PCT else "no" if low > MOST_SHARE_PCT else "doubtful"
    if state_of_charge_pct < 50:
        can = "no"
    return Figure(
        "prime_charge",
        low,
        "%",
        "current x time / charge there is; the high figure adds Peukert's rule, exponent 1.2, from the 20 h rate",
        "definition of charge; exponent and the half-charge limit from memory",
        "Yes: even the high figure leaves half of the charge. No: charge first, as always under half charge, where "
        "the starter turns too slowly to prime. A clean, sound battery near 20 C; cold and age take more. The rests "
        "give some of it back, so the truth lies between low and high.",
        {"low": low, "high": high, "can_finish": can, "left_pct": max(0.0, state_of_charge_pct * (1 - high / 100))},
    )
