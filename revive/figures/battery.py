"""Lead batteries: state of charge at rest, freezing of the acid, fresh air for charging.

Method: straight lines between the rows of published tables; ventilation by formula.
Source: flooded, volts and specific gravity: Battery Council International table for acid of 1.265 when full, 26.7 C.
Sealed: bands of a vehicle maker's owner's manual (12.0, 12.3, 12.6, 12.8 V for 25, 50, 75, 100 %). Freezing: US Army
OD1002 and TM 5-1185, Table III; acid of 1.280 when full: TM 5-1185, Table II. Ventilation: EN 50272-3, with its gas
currents at 2.4 V a cell and without limit. Rest before reading and the 12.4 V recharge line: BCI and trade guides.
Units: V, %, C, m3/h, cm2. 6 V batteries are read at half the volts of 12 V, by common practice.
Valid: lead batteries only. The two gravity tables are for different acids and are never mixed in one line.
Errors: refused for volts that only a battery on charge shows (over 13.0 V flooded, 13.2 V sealed), gravity outside
1.000 to 1.280 (beyond it the freezing point rises again), and where both or neither of two alternatives are given.
"""

from revive.figures.core import Figure, FigureError, interpolate, yes_no

FLOODED_VOLTS = ((11.89, 0.0), (12.06, 25.0), (12.24, 50.0), (12.45, 75.0), (12.65, 100.0))
SEALED_VOLTS = ((12.0, 25.0), (12.3, 50.0), (12.6, 75.0), (12.8, 100.0))
MOST_VOLTS = {"flooded": 13.0, "sealed": 13.2}
METER_V = 0.05
"""Error of a plain meter and of a rest cut short, from memory."""
RECHARGE_V = 12.4
GRAVITY_1265 = ((0.0, 1.120), (25.0, 1.155), (50.0, 1.190), (75.0, 1.225), (100.0, 1.265))
GRAVITY_1280 = ((0.0, 1.130), (25.0, 1.190), (50.0, 1.220), (75.0, 1.250), (100.0, 1.280))
FREEZING_C = ((1.000, 0.0), (1.100, -7.2), (1.150, -15.0), (1.200, -26.7), (1.250, -52.2), (1.280, -67.8))
GAS_A_PER_100AH = {("flooded", "no"): 2.0, ("sealed", "no"): 1.0, ("flooded", "yes"): 6.0, ("sealed", "yes"): 1.5}
AIR_FACTOR = 0.05
INLET_CM2_PER_M3_H = 28.0


def battery_charge(volts_rest: float, kind: str, system_voltage: str) -> Figure:
    """State of charge (%), with the range that a meter error of 0.05 V or the table's band leaves."""
    volts = volts_rest * (2 if system_voltage == "v6" else 1)
    if volts > MOST_VOLTS[kind]:
        half = 2 if system_voltage == "v6" else 1
        raise FigureError(
            f"{volts_rest:g} V is more than a rested battery shows ({MOST_VOLTS[kind] / half:g} V at most)\n"
            "    Is it on charge, just off it, or of another voltage? Rest it 24 h and read again."
        )
    charge, low, high = (_charge_of(kind, volts + error) for error in (0.0, -METER_V, METER_V))
    also: dict[str, float | str] = {"low": low, "high": high}
    note = "Only after 6 to 8 h off charge and load, better 24 h; at about 27 C. "
    if kind == "sealed" and volts < SEALED_VOLTS[0][0]:
        also |= {"low": 0.0, "high": 25.0}
        note += "Under 12.0 V the published band says no more than 0 to 25 %, and the lower end is shown. "
    if kind == "flooded":
        also["specific_gravity"] = interpolate(GRAVITY_1265, charge)
        note += "For acid of 1.265 when full. A hydrometer reads 0.004 low for each 10 F (5.6 C) over 80 F (26.7 C). "
    if volts < 10.5:
        note += "So low a battery seldom recovers (from memory). "
    also |= {"rest_h_least": 6.0, "rest_h_better": 24.0, "recharge": yes_no(volts < RECHARGE_V)}
    return Figure(
        "battery_charge",
        charge,
        "%",
        "straight lines between the rows of the table; range for a reading 0.05 V off",
        "Battery Council International, open-circuit table (flooded); vehicle maker's owner's manual (sealed)",
        f"{note}Volts do not show whether it can give current: load-test it.",
        also,
    )


def battery_freezing(specific_gravity: float | None = None, state_of_charge_pct: float | None = None) -> Figure:
    """Temperature (C) at which the acid freezes; from state of charge the value is for the weaker of two acids."""
    if (specific_gravity is None) == (state_of_charge_pct is None):
        raise FigureError(
            "battery_freezing needs specific_gravity or state_of_charge_pct, one of the two\n"
            "    The hydrometer reading is the better one."
        )
    note = "A battery that froze is thawed and looked over for splits before any charging. Flooded batteries only."
    if specific_gravity is not None:
        freezes = interpolate(FREEZING_C, specific_gravity)
        also = {"low": freezes, "high": freezes, "specific_gravity": specific_gravity}
    else:
        charge = state_of_charge_pct or 0.0
        gravity = interpolate(GRAVITY_1265, charge)
        freezes = interpolate(FREEZING_C, gravity)
        strong = interpolate(FREEZING_C, interpolate(GRAVITY_1280, charge))
        also = {"low": strong, "high": freezes, "specific_gravity": gravity}
        note += " The value is for acid of 1.265 when full; low is for acid of 1.280."
    return Figure(
        "battery_freezing",
        freezes,
        "C",
        "straight lines between the rows of the table",
        "US Army OD1002; TM 5-1185, Table III (freezing) and Table II (acid of 1.280); BCI table (acid of 1.265)",
        note,
        also,
    )


def charging_ventilation(cells: float, capacity_ah: float, kind: str, unlimited: str) -> Figure:
    """Fresh air in m3/h while charging, with the free area of inlet and of outlet in cm2."""
    gas = GAS_A_PER_100AH[kind, unlimited]
    air = AIR_FACTOR * cells * gas * capacity_ah / 100
    return Figure(
        "charging_ventilation",
        air,
        "m3/h",
        "Q = 0.05 n I C / 100, I the gas current in A for each 100 Ah; opening 28 Q cm2 in and the same out",
        "EN 50272-3, ventilation of traction batteries",
        "Gas lies under the roof: opening high up, no flame, spark or smoking near it, goggles on, clips off only with "
        "the charger switched off. A closed room with poor air wants a fan or the open.",
        {"inlet_cm2": INLET_CM2_PER_M3_H * air, "gas_a_per_100ah": gas},
    )


def _charge_of(kind: str, volts: float) -> float:
    if kind == "sealed" and volts < SEALED_VOLTS[0][0]:
        return 0.0
    return interpolate(FLOODED_VOLTS if kind == "flooded" else SEALED_VOLTS, volts)
