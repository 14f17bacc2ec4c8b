"""How well a reading fits a prediction.

A volts or ohms reading is a prediction with a spread: the meter's own uncertainty, and what the loom document
cannot know (the state of charge, the resistance of every contact). A small share of all readings is simply
wrong: the probe slipped, the wrong pin, the wrong line of the sheet.
"""

import math

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from tickover.standards.instruments import INSTRUMENTS

Array = npt.NDArray[np.float64]

WRONG_SHARE = 0.01
"""One reading in a hundred is wrong altogether: the search must be able to get over it."""
COMPLAINT_WRONG_SHARE = 1e-4
"""A complaint was seen many times over."""
CHARGE_SPREAD = 0.03
"""A 12 V lead battery rests between about 12.2 V (half charged) and 12.9 V (full): 3 % about what is written.
All volts of one search share it, so that the first good reading settles it."""
CONTACT_VOLTS = 0.05
CONTACT_SHARE = 0.01
"""Contacts and wires that are a little better or worse than written: 50 mV and 1 % of the reading."""
CRANKING_SHARE = 0.06
"""While cranking the battery sags more or less than its written resistance says."""
OHMS_SPREAD = 0.08
LEADS_OHMS = 0.3
"""Parts are made to about 8 %, and probe tips on old metal add some tenths of an ohm."""
VOLTS_RANGE = 30.0
"""A wrong volts reading may be anything over about this range."""
OPEN_LINE_SHARE = 0.5
"""Half of all wrong ohms readings show no path: the probe did not bite."""
MISFIT = 0.02
"""A reading fits a hypothesis worse than this share of its best possible fit: the two contradict each other."""

CHARGES = np.linspace(-2.5, 2.5, 11)
"""Steps of the battery's spread over which a search adds up, in its standard deviations."""
CHARGE_WEIGHTS: Array = np.exp(-0.5 * CHARGES**2) / np.exp(-0.5 * CHARGES**2).sum()


def meter_volts(volts: Array) -> Array:
    """Standard uncertainty of a hand multimeter's volts."""
    meter = INSTRUMENTS["multimeter_volts"]
    spread: Array = np.hypot(meter.error + meter.relative * np.abs(volts), meter.step / 2.0) / math.sqrt(3.0)
    return spread


def volts_spread(centre: Array, swing: Array, cranking: npt.NDArray[np.bool_] | bool) -> Array:
    """Standard spread of a volts reading about its prediction, the state of charge left out."""
    contacts = CONTACT_VOLTS + CONTACT_SHARE * np.abs(centre)
    crank = np.where(cranking, CRANKING_SHARE * np.abs(centre), 0.0)
    spread: Array = np.sqrt(meter_volts(centre) ** 2 + contacts**2 + crank**2 + swing**2)
    return spread


def volts_fit(reading: float, centre: Array, spread: Array) -> Array:
    """Density of a volts reading under each hypothesis (rows) and battery state (columns), per volt."""
    scale = 1.0 + CHARGE_SPREAD * CHARGES
    z = (reading - centre[:, None] * scale[None, :]) / spread[:, None]
    density = np.exp(-0.5 * z**2) / (spread[:, None] * math.sqrt(2.0 * math.pi))
    fit: Array = (1.0 - WRONG_SHARE) * density + WRONG_SHARE / VOLTS_RANGE
    return fit


def volts_agree(reading: float, centre: Array, spread: Array) -> npt.NDArray[np.bool_]:
    """Which hypotheses a volts reading does not contradict, whatever the state of charge."""
    total = np.hypot(spread, CHARGE_SPREAD * centre)
    agree: npt.NDArray[np.bool_] = np.exp(-0.5 * ((reading - centre) / total) ** 2) >= MISFIT
    return agree


def ohms_spread(ohms: Array) -> Array:
    """Standard spread of an ohms reading about a finite prediction."""
    meter = INSTRUMENTS["multimeter_ohms"]
    finite = np.where(np.isfinite(ohms), ohms, 0.0)
    instrument = np.hypot(meter.error + meter.relative * finite, meter.step / 2.0) / math.sqrt(3.0)
    spread: Array = np.sqrt(instrument**2 + LEADS_OHMS**2 + (OHMS_SPREAD * finite) ** 2)
    return spread


def ohms_fit(reading: float, ohms: Array) -> Array:
    """Likelihood of an ohms reading under each hypothesis; no path is an answer of its own."""
    open_line = ~np.isfinite(ohms)
    if math.isinf(reading):
        fit: Array = np.where(open_line, 1.0 - WRONG_SHARE * (1.0 - OPEN_LINE_SHARE), WRONG_SHARE * OPEN_LINE_SHARE)
        return fit
    spread = ohms_spread(ohms)
    z = (reading - np.where(open_line, 0.0, ohms)) / spread
    density = np.exp(-0.5 * z**2) / (spread * math.sqrt(2.0 * math.pi))
    anything = WRONG_SHARE * (1.0 - OPEN_LINE_SHARE) / (100.0 + 2.0 * reading)
    result: Array = np.where(open_line, 0.0, (1.0 - WRONG_SHARE) * density) + anything
    return result


def ohms_agree(reading: float, ohms: Array) -> npt.NDArray[np.bool_]:
    """Which hypotheses an ohms reading does not contradict."""
    open_line = ~np.isfinite(ohms)
    if math.isinf(reading):
        return open_line
    z = (reading - np.where(open_line, 0.0, ohms)) / ohms_spread(ohms)
    agree: npt.NDArray[np.bool_] = ~open_line & (np.exp(-0.5 * z**2) >= MISFIT)
    return agree


def words_fit(likelihoods: Array, wrong: float = WRONG_SHARE) -> Array:
    """Likelihoods (hypotheses, answers) with the wrong share mixed in evenly."""
    fit: Array = (1.0 - wrong) * likelihoods + wrong / likelihoods.shape[1]
    return fit


def clusters(centre: Array, spread: Array) -> list[list[int]]:
    """Hypotheses whose predictions the meter cannot tell apart, lowest first; no path (infinite) comes last.

    >>> clusters(np.array([12.4, 0.0, 12.5, np.inf]), np.array([0.2, 0.1, 0.2, 0.1]))
    [[1], [0, 2], [3]]
    """
    groups: list[list[int]] = []
    start = last = 0.0
    for k in np.argsort(centre, kind="stable"):
        value, room = centre[k], spread[k]
        fresh = not groups or (math.isinf(value) != math.isinf(last))
        if fresh or (not math.isinf(value) and (value - last > 2.5 * room or value - start > 5.0 * room)):
            groups.append([])
            start = value
        groups[-1].append(int(k))
        last = value
    return groups


def outcome_likelihoods(centre: Array, spread: Array, groups: list[list[int]]) -> Array:
    """Likelihood (hypotheses, groups) that a figure falls nearest to each group, the wrong share mixed in."""
    middles = np.array([np.mean(centre[g]) for g in groups])
    finite = np.isfinite(middles)
    edges = (middles[finite][1:] + middles[finite][:-1]) / 2.0
    inner = np.where(np.isfinite(centre), centre, 0.0)
    below = ndtr((edges[None, :] - inner[:, None]) / spread[:, None])
    ones, zeros = np.ones((len(centre), 1)), np.zeros((len(centre), 1))
    table = np.diff(np.hstack([zeros, below, ones]), axis=1) if finite.any() else np.zeros((len(centre), 0))
    if not finite.all():
        open_line = ~np.isfinite(centre)
        table = np.hstack([np.where(open_line[:, None], 0.0, table), open_line[:, None].astype(np.float64)])
    return words_fit(table)
