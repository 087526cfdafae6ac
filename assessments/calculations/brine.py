"""Salt brine: strength as mass fraction or per water, density, and what a hydrometer shows."""

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

SATURATION_PERCENT: Final = 26.4
"""Mass fraction of salt in saturated brine at 20 degC."""

BAUME_MODULUS_US: Final = 145.0
BAUME_MODULUS_RATIONAL: Final = 144.3

# Salt in percent of brine, density at 20 degC in kg/m3, fall of density in kg/m3 for each degC:
# Poradnik fizykochemiczny (WNT, Warsaw 1974), as tabulated by a university physics laboratory.
# Two things in that copy contradict the rest of it and are not used: the density at 2 % (1012.2
# there; its own column of kg salt in a cubic metre, 20.250, gives 1012.5), and the column headed
# 15 degC, which is 3.7 kg/m3 off its own temperature correction at 10 % and equals the densities
# at 10 degC by Rogers and Pitzer (1982), Journal of Physical and Chemical Reference Data 11, 15.
# Water: 998.21 and 999.10 kg/m3 at 20 and 15 degC.
_BRINE_TABLE: Final = np.array(
    [
        (0, 998.2, 0.18),
        (1, 1005.3, 0.22),
        (2, 1012.5, 0.24),
        (4, 1026.8, 0.28),
        (6, 1041.3, 0.31),
        (8, 1055.9, 0.34),
        (10, 1070.7, 0.37),
        (12, 1085.7, 0.39),
        (14, 1100.9, 0.42),
        (16, 1116.2, 0.44),
        (18, 1131.9, 0.47),
        (20, 1147.8, 0.49),
        (22, 1164.0, 0.51),
        (24, 1180.4, 0.53),
        (26, 1197.2, 0.55),
    ]
)
_WATER_15_KG_M3: Final = 999.1
_BRINE_FROM_C: Final = 10.0
_BRINE_TO_C: Final = 30.0


class BrineRangeError(ValueError):
    """A brine that the density table does not cover; `code` tells why.

    Attributes
    ----------
    code : str
        ``'negative'``, ``'outside_table'``, ``'saturated'`` or ``'temperature'``.
    """

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


def brine_to_water_percent(brine_percent: float) -> float:
    """Return salt as percent of water from salt as percent of brine (mass fraction).

    Parameters
    ----------
    brine_percent : float
        Percent w/w of brine, 0 or more and below 100.

    Returns
    -------
    float
        Gram salt for 100 g water.

    Raises
    ------
    ValueError
        For a percentage outside its range.

    Notes
    -----
    100 s / (100 - s).

    Examples
    --------
    >>> round(brine_to_water_percent(10), 3)
    11.111
    """
    if not 0 <= brine_percent < 100:
        raise ValueError(f"brine_percent must be from 0 to below 100, not {brine_percent}.")
    return 100 * brine_percent / (100 - brine_percent)


def water_to_brine_percent(water_percent: float) -> float:
    """Return salt as percent of brine (mass fraction) from salt as percent of water.

    Parameters
    ----------
    water_percent : float
        Gram salt for 100 g water, 0 or more.

    Returns
    -------
    float
        Percent w/w of brine.

    Raises
    ------
    ValueError
        For a percentage outside its range.

    Notes
    -----
    100 r / (100 + r).

    Examples
    --------
    >>> round(water_to_brine_percent(10), 4)
    9.0909
    """
    _require_not_negative("water_percent", water_percent)
    return 100 * water_percent / (100 + water_percent)


def brine_parts_g(*, brine_g: float, brine_percent: float) -> tuple[float, float]:
    """Return the water and the salt in a brine.

    Parameters
    ----------
    brine_g : float
        Mass of the brine, g, 0 or more.
    brine_percent : float
        Salt, percent w/w of brine, from 0 to saturation (26.4).

    Returns
    -------
    tuple of float
        Water and salt, g.

    Raises
    ------
    BrineRangeError
        For a strength outside 0..26.4 (a ValueError with a code).
    ValueError
        For a negative mass.

    Notes
    -----
    Plain mass balance.

    Examples
    --------
    >>> brine_parts_g(brine_g=500, brine_percent=15)
    (425.0, 75.0)
    """
    _require_not_negative("brine_g", brine_g)
    _require_brine(brine_percent, SATURATION_PERCENT)
    salt_g = brine_g * brine_percent / 100
    return brine_g - salt_g, salt_g


def brine_density_kg_m3(brine_percent: float, at_c: float = 20.0) -> float:
    """Return the density of a salt brine.

    Parameters
    ----------
    brine_percent : float
        Salt, percent w/w of brine, 0..26.
    at_c : float
        Temperature of the brine, degC, 10..30.

    Returns
    -------
    float
        Density, kg/m3, within 0.1 kg/m3 of the measured values at 20 degC, 0.6 elsewhere.

    Raises
    ------
    BrineRangeError
        For a strength outside the table (code ``'negative'``, ``'outside_table'``, or
        ``'saturated'`` above 26.4 %) or a temperature outside 10..30 (``'temperature'``).

    Notes
    -----
    Linear between the rows of the table of Poradnik fizykochemiczny (WNT, Warsaw 1974) at
    20 degC, with the same table's linear temperature correction.

    Examples
    --------
    >>> brine_density_kg_m3(10), round(brine_density_kg_m3(10, at_c=15), 2)
    (1070.7, 1072.55)
    """
    _require_brine(brine_percent, float(_BRINE_TABLE[-1, 0]))
    densities = _densities_kg_m3(at_c)
    return float(np.interp(brine_percent, _BRINE_TABLE[:, 0], densities))


def brine_percent_from_density(density_kg_m3: float, at_c: float = 20.0) -> float:
    """Return the strength of a brine from its density.

    Parameters
    ----------
    density_kg_m3 : float
        Density of the brine, kg/m3.
    at_c : float
        Temperature of the brine, degC, 10..30.

    Returns
    -------
    float
        Salt, percent w/w of brine, 0..26.

    Raises
    ------
    BrineRangeError
        For a density below that of water (``'negative'``) or beyond the table's last row
        (``'outside_table'``), or a temperature outside 10..30 (``'temperature'``).

    Notes
    -----
    Inverse of `brine_density_kg_m3`.

    Examples
    --------
    >>> brine_percent_from_density(1147.8)
    20.0
    """
    densities = _densities_kg_m3(at_c)
    if not densities[0] - 1e-9 <= density_kg_m3:
        raise BrineRangeError("negative", f"{density_kg_m3} kg/m3 is less than plain water.")
    if density_kg_m3 > densities[-1] + 1e-9:
        raise BrineRangeError("outside_table", f"{density_kg_m3} kg/m3 is beyond a brine of 26 %.")
    return float(np.interp(density_kg_m3, densities, _BRINE_TABLE[:, 0]))


def baume_from_specific_gravity(
    specific_gravity: float, modulus: float = BAUME_MODULUS_US
) -> float:
    """Return Baume degrees, scale for liquids heavier than water.

    Parameters
    ----------
    specific_gravity : float
        Density over that of water, both at 15 degC (60 degF), at least 1.
    modulus : float
        145 (United States) or 144.3 (rational scale).

    Returns
    -------
    float
        Degrees Baume, 0 or more and below the modulus.

    Raises
    ------
    ValueError
        For a specific gravity below 1 or a modulus not above 0.

    Notes
    -----
    modulus - modulus / specific gravity; 144.3 from 66 degrees = 1.8427 at 15 degC.

    Examples
    --------
    >>> round(baume_from_specific_gravity(1.10), 2)
    13.18
    """
    _require_positive("modulus", modulus)
    if not (specific_gravity >= 1 and math.isfinite(specific_gravity)):
        raise ValueError(f"specific_gravity must be at least 1, not {specific_gravity}.")
    return modulus - modulus / specific_gravity


def specific_gravity_from_baume(baume: float, modulus: float = BAUME_MODULUS_US) -> float:
    """Return the specific gravity from Baume degrees, scale for liquids heavier than water.

    Parameters
    ----------
    baume : float
        Degrees Baume, 0 or more and below the modulus.
    modulus : float
        145 (United States) or 144.3 (rational scale).

    Returns
    -------
    float
        Density over that of water, both at 15 degC (60 degF).

    Raises
    ------
    ValueError
        For degrees outside their range or a modulus not above 0.

    Notes
    -----
    modulus / (modulus - degrees).

    Examples
    --------
    >>> round(specific_gravity_from_baume(20), 5)
    1.16
    """
    _require_positive("modulus", modulus)
    if not 0 <= baume < modulus:
        raise ValueError(f"baume must be from 0 to below {modulus:g}, not {baume}.")
    return modulus / (modulus - baume)


def hydrometer_from_brine_percent(
    brine_percent: float, at_c: float = 15.0, modulus: float = BAUME_MODULUS_US
) -> float:
    """Return what a Baume hydrometer made for 15 degC shows in a brine.

    Parameters
    ----------
    brine_percent : float
        Salt, percent w/w of brine, 0..26.
    at_c : float
        Temperature of the brine, degC, 10..30.
    modulus : float
        145 (United States) or 144.3 (rational scale).

    Returns
    -------
    float
        Degrees Baume. Not the percentage: trade tables that call 10 % "10 degrees" are close
        there, but 20 % reads about 19.

    Raises
    ------
    BrineRangeError
        As for `brine_density_kg_m3`.
    ValueError
        For brine so thin and warm that it is lighter than water of 15 degC, or a modulus not
        above 0.

    Notes
    -----
    `brine_density_kg_m3` over the density of water at 15 degC, 999.10 kg/m3; the glass's own
    expansion (under 0.05 degrees) is left out.

    Examples
    --------
    >>> round(hydrometer_from_brine_percent(10), 1), round(hydrometer_from_brine_percent(20), 1)
    (9.9, 19.1)
    """
    density = brine_density_kg_m3(brine_percent, at_c)
    return baume_from_specific_gravity(density / _WATER_15_KG_M3, modulus)


def brine_percent_from_hydrometer(
    baume: float, at_c: float = 15.0, modulus: float = BAUME_MODULUS_US
) -> float:
    """Return the strength of a brine from the reading of a Baume hydrometer made for 15 degC.

    Parameters
    ----------
    baume : float
        Reading, degrees Baume, 0 or more.
    at_c : float
        Temperature of the brine, degC, 10..30.
    modulus : float
        145 (United States) or 144.3 (rational scale).

    Returns
    -------
    float
        Salt, percent w/w of brine, 0..26.

    Raises
    ------
    BrineRangeError
        As for `brine_percent_from_density`.
    ValueError
        For a reading outside the scale.

    Notes
    -----
    Inverse of `hydrometer_from_brine_percent`.

    Examples
    --------
    >>> round(brine_percent_from_hydrometer(19.05), 1)
    20.0
    """
    density = specific_gravity_from_baume(baume, modulus) * _WATER_15_KG_M3
    return brine_percent_from_density(density, at_c)


def _densities_kg_m3(at_c: float) -> NDArray[np.float64]:
    if not _BRINE_FROM_C <= at_c <= _BRINE_TO_C:
        raise BrineRangeError(
            "temperature", f"Brine must be at {_BRINE_FROM_C:g} to {_BRINE_TO_C:g} degC: {at_c}."
        )
    return _BRINE_TABLE[:, 1] + _BRINE_TABLE[:, 2] * (20 - at_c)


def _require_brine(brine_percent: float, highest: float) -> None:
    if not brine_percent >= 0:
        raise BrineRangeError("negative", f"Brine must be 0 % or more, not {brine_percent}.")
    if brine_percent > SATURATION_PERCENT:
        raise BrineRangeError(
            "saturated", f"Water holds {SATURATION_PERCENT} % salt at most, not {brine_percent}."
        )
    if brine_percent > highest:
        raise BrineRangeError("outside_table", f"{brine_percent} % lies beyond {highest:g} %.")


def _require_positive(name: str, value: float) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be above 0, not {value}.")


def _require_not_negative(name: str, value: float) -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be 0 or more, not {value}.")
