"""How fast moisture moves through concrete, by its humidity: slow once dry, up to twenty times faster wet."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.physics.bounds import monotone_in
from advisor.physics.elementwise import exp, greatest
from advisor.physics.units import ZERO_CELSIUS
from advisor.physics.validity import Number, within

ACTIVATION_TEMPERATURE = 2700.0  # K; Bazant and Najjar 1972
REFERENCE_TEMP_C = 20.0
COLDEST_C, HOTTEST_C = -20.0, 60.0  # what the factor of temperature holds for


@dataclass(frozen=True)
class Diffusivity:
    """D(H) = d1 [a + (1 - a)/(1 + ((1 - H)/(1 - centre))^exponent)], H the relative humidity (0 to 1).

    ``d1`` [m2/s] at saturation and 20 °C, 1e-13 to 1e-7; ``dry_share`` a is D(dry)/d1, 0.001 to 1 (1 makes D
    constant); ``centre`` 0.5 to 0.95; ``exponent`` 1 to 30.  Source of the form: Bazant and Najjar, Materials
    and Structures 5 (1972) 3-20.
    """

    d1: float
    dry_share: float
    centre: float = 0.8
    exponent: float = 15.0

    def __post_init__(self) -> None:
        """Refuse constants that no concrete has."""
        within("diffusivity_at_saturation", self.d1, 1e-13, 1e-7, "m2/s")
        within("share_of_diffusivity_left_when_dry", self.dry_share, 1e-3, 1.0, "")
        within("humidity_at_centre_of_fall", self.centre, 0.5, 0.95, "")
        within("exponent_of_fall", self.exponent, 1.0, 30.0, "")

    def share(self, humidity: Number) -> Number:
        """D/d1 at a relative humidity of 0 to 1."""
        dryness = (1.0 - within("relative_humidity", humidity, 0.0, 1.0, "")) / (1.0 - self.centre)
        fallen: Number = dryness**self.exponent
        return self.dry_share + (1.0 - self.dry_share) / (1.0 + fallen)


WEAKEST, STRONGEST, BELOW_MEAN = (
    8e6,
    120e6,
    8e6,
)  # Pa: characteristic strengths it holds for; their distance from the mean


def characteristic_strength(mean_strength_pa: Number) -> Number:
    """Characteristic strength [Pa]: the mean less 8 MPa (fib Model Code 2010, 5.1; from memory), at least 8 MPa."""
    return greatest(mean_strength_pa - BELOW_MEAN, 0.0 * mean_strength_pa + WEAKEST)


def saturated_diffusivity(characteristic_strength_pa: Number) -> Number:
    """Diffusivity at saturation [m2/s] of fib Model Code 2010, 1e-9 m2/s x 10 MPa/fck for fck of 8 to 120 MPa.

    >>> saturated_diffusivity(25e6)
    4e-10
    """
    return 1e-9 * 10e6 / within("characteristic_strength", characteristic_strength_pa, WEAKEST, STRONGEST, "Pa")


def model_code(characteristic_strength_pa: float) -> Diffusivity:
    """Diffusivity of fib Model Code 2010, section 5.1 (as CEB-FIP MC90, 2.1.8; constants from memory)."""
    return Diffusivity(saturated_diffusivity(characteristic_strength_pa), dry_share=0.05)


def bazant_1982(exponent: float = 6.0) -> Diffusivity:
    """Constants of Bazant 1982: d1 3.10e-10 m2/s, centre 0.75, exponent 6 to 16, dry share at 20 °C.

    >>> round(bazant_1982().dry_share, 4)
    0.0468
    """
    power = within("exponent_of_fall", exponent, 6.0, 16.0, "")
    return Diffusivity(3.10e-10, 1.0 / (1.0 + 19.0 * (95.0 - REFERENCE_TEMP_C) / 70.0), 0.75, power)


@monotone_in("temp_c")
def temperature_factor(temp_c: Number) -> Number:
    """Diffusivity at a temperature of -20 to 60 °C over that at 20 °C, exp(2700 K (1/T0 - 1/T)).

    Source: Bazant and Najjar 1972.

    >>> round(temperature_factor(10.0), 3)
    0.722
    """
    kelvin = within("temperature_of_slab", temp_c, COLDEST_C, HOTTEST_C, "°C") + ZERO_CELSIUS
    return exp(ACTIVATION_TEMPERATURE * (1.0 / (REFERENCE_TEMP_C + ZERO_CELSIUS) - 1.0 / kelvin))
