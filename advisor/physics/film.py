"""Film build and coverage: what a litre covers at a thickness, wet and dry.

All of it follows from volume = area x thickness; a US gallon of 231 in3 (NIST Handbook 44, Appendix C) is
1604.17 ft2 at one mil.  Thickness in m, coverage in m2/m3 (``units.MIL``, ``SQUARE_FOOT / GALLON``).
"""

from __future__ import annotations

from advisor.physics.bounds import monotone_in
from advisor.physics.validity import Number, within

THINNEST, THICKEST = 1e-7, 0.5  # m; from a trace of repellent to a deep overlay


def _solids(solids: Number) -> Number:
    return within("solids_by_volume", solids, 0.001, 1.0, "")


def _thickness(quantity: str, thickness_m: Number) -> Number:
    return within(quantity, thickness_m, THINNEST, THICKEST, "m")


@monotone_in("dry_m", "solids", "thinner_share")
def wet_thickness(dry_m: Number, solids: Number, thinner_share: float = 0.0) -> Number:
    """Wet film [m] that dries to ``dry_m``.

    ``solids`` is the share by volume (0.001 to 1); ``thinner_share`` the thinner added to each part of
    coating (0 to 2).  Valid: 1e-7 to 0.5 m.

    >>> from advisor.physics.units import MIL
    >>> round(wet_thickness(3 * MIL, 0.5) / MIL, 2)
    6.0
    """
    thinner = within("thinner_per_coating", thinner_share, 0.0, 2.0, "")
    return _thickness("dry_film", dry_m) * (1.0 + thinner) / _solids(solids)


@monotone_in("wet_m", "solids", "thinner_share")
def dry_thickness(wet_m: Number, solids: Number, thinner_share: float = 0.0) -> Number:
    """Dry film [m] that a wet film leaves; arguments and validity as in ``wet_thickness``."""
    thinner = within("thinner_per_coating", thinner_share, 0.0, 2.0, "")
    return _thickness("wet_film", wet_m) * _solids(solids) / (1.0 + thinner)


@monotone_in("dry_m", "solids")
def coverage(dry_m: Number, solids: Number) -> Number:
    """Area that a volume covers without any loss [m2/m3].  Valid: 1e-7 to 0.5 m, solids 0.001 to 1.

    >>> from advisor.physics.units import GALLON, MIL, SQUARE_FOOT
    >>> round(coverage(10 * MIL, 1.0) * GALLON / SQUARE_FOOT, 2)
    160.42
    """
    return _solids(solids) / _thickness("dry_film", dry_m)


@monotone_in("theoretical", "loss")
def practical_coverage(theoretical: Number, loss: Number) -> Number:
    """Coverage [the unit given] that is left after a loss (0 to 0.95) in roller, bucket, pores and profile.

    Source: common practice.

    >>> practical_coverage(100.0, 0.3)
    70.0
    """
    most = within("theoretical_coverage", theoretical, 0.0, 1e8, "m2/m3")
    return most * (1.0 - within("loss", loss, 0.0, 0.95, ""))


@monotone_in("area_m2", "dry_m", "solids", "loss")
def volume_needed(area_m2: Number, dry_m: Number, solids: Number, loss: Number) -> Number:
    """Volume of coating [m3] for an area of 0 to 1e6 m2; the rest as in ``coverage``, ``practical_coverage``.

    >>> round(volume_needed(100.0, 250e-6, 0.5, 0.2) * 1000, 6)     # litres
    62.5
    """
    area = within("area", area_m2, 0.0, 1e6, "m2")
    return area / practical_coverage(coverage(dry_m, solids), loss)
