"""What a gravity supply delivers: tap, hose and filter between the tank and the carburettor.

Lengths in metres, flow in m³/s, density in kg/m³, viscosity in Pa·s, pressure in pascals.

Sources: laminar pipe, G. Hagen (1839) and J. L. M. Poiseuille (1846), as in any fluid mechanics text;
discharge through a small hole under a head, E. Torricelli (1644), with a discharge coefficient of 0.62
for a sharp-edged hole; porous sheet, H. Darcy (1856).
"""

import math

STANDARD_GRAVITY = 9.80665  # m/s², 3rd CGPM (1901)
SHARP_EDGED_HOLE = 0.62  # discharge coefficient, sharp-edged round hole in a thin plate


def pipe_resistance(bore: float, length: float, viscosity: float) -> float:
    """Pressure lost per flow in a round pipe with laminar flow, Pa/(m³/s).

    8 η l / (π r⁴) (Hagen-Poiseuille). Good below a Reynolds number of about 2300.

    Worked example (OpenStax, College Physics, section 12.4, the needle of an intravenous drip): radius 0.150
    mm, length 2.50 cm, water of 1.00e-3 Pa·s and 0.120 cm³/s need 1.51e4 Pa.

    >>> round(pipe_resistance(0.300e-3, 2.50e-2, 1.00e-3) * 0.120e-6, -2)
    15100.0
    """
    return 8.0 * viscosity * length / (math.pi * (bore / 2.0) ** 4)


def hole_resistance(bore: float, density: float, discharge: float = SHARP_EDGED_HOLE) -> float:
    """Pressure lost per flow squared in a hole of this bore, Pa/(m³/s)².

    ρ / (2 (Cd A)²). With no loss (Cd = 1) and a head h it gives Torricelli's v = √(2 g h).

    >>> flow = math.sqrt(1000 * STANDARD_GRAVITY * 0.5 / hole_resistance(0.010, 1000.0, discharge=1.0))
    >>> round(flow / (math.pi * 0.005**2), 3), round(math.sqrt(2 * STANDARD_GRAVITY * 0.5), 3)
    (3.132, 3.132)
    """
    area = math.pi * bore**2 / 4.0
    return density / (2.0 * (discharge * area) ** 2)


def filter_resistance(area: float, thickness: float, permeability: float, viscosity: float) -> float:
    """Pressure lost per flow in a porous sheet, Pa/(m³/s): η t / (k A) (Darcy); permeability k in m².

    The darcy, 9.869233e-13 m², is defined so that 1 cm³/s of 1 mPa·s passes 1 cm² of 1 cm thickness at one
    atmosphere (101 325 Pa):

    >>> round(filter_resistance(1e-4, 1e-2, 9.869233e-13, 1.0e-3) * 1e-6)
    101325
    """
    return viscosity * thickness / (permeability * area)


def supply(
    head: float,
    *,
    tap_bore: float,
    hose_bore: float,
    hose_length: float,
    filter_loss: float = 0.0,
    density: float = 745.0,
    viscosity: float = 0.55e-3,
) -> float:
    """Flow out of the hose's end under the fuel's own head, m³/s.

    The head ρ g h is spent in the tap's hole (with the flow squared) and in hose and filter (with the flow):
    a Q² + b Q = ρ g h, of which the positive root is the flow. `filter_loss` is Pa/(m³/s), 0 for none.
    Density and viscosity default to petrol at about 20 °C.

    Raises ValueError for a head below zero or a bore that is not above zero.

    >>> clear = supply(0.25, tap_bore=0.004, hose_bore=0.006, hose_length=0.4)
    >>> fine = supply(0.25, tap_bore=0.004, hose_bore=0.006, hose_length=0.4, filter_loss=6e8)
    >>> round(clear * 60e6), round(fine * 60e6)  # millilitres in a minute
    (1002, 175)
    """
    if head < 0.0 or tap_bore <= 0.0 or hose_bore <= 0.0:
        raise ValueError("A gravity supply needs a head of zero or more and bores above zero.")
    a = hole_resistance(tap_bore, density)
    b = pipe_resistance(hose_bore, hose_length, viscosity) + filter_loss
    pressure = density * STANDARD_GRAVITY * head
    return 2.0 * pressure / (b + math.sqrt(b * b + 4.0 * a * pressure)) if pressure else 0.0


def demand(power: float, grams_per_kilowatt_hour: float = 320.0, density: float = 745.0) -> float:
    """Flow that an engine burns at this power in watts, m³/s.

    Power times specific consumption over density. 320 g/kWh is a usual figure for a small air-cooled petrol
    engine at full load (J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, chapter 2, gives about
    270 g/kWh as the best point of a petrol engine).

    >>> round(demand(27_000) * 60e6)  # 27 kW: millilitres in a minute
    193
    """
    kilograms_per_second = power / 1000.0 * grams_per_kilowatt_hour / 1000.0 / 3600.0
    return kilograms_per_second / density
