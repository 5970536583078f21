"""The air in the tube: its speed of sound by temperature and humidity."""

import math
from dataclasses import dataclass

from score.errors import RequestError

PRESSURE = 101325.0
"""Standard pressure, pascals; the speed of sound hardly depends on it."""

_CO2 = 400e-6
_COLDEST, _HOTTEST = -10.0, 50.0


@dataclass(frozen=True, slots=True)
class Air:
    """The air at one time and place.

    Attributes:
        celsius: temperature.
        humidity: relative humidity, per cent.

    Raises:
        RequestError: a temperature or humidity that no workshop or hall has.
    """

    celsius: float = 20.0
    humidity: float = 50.0

    def __post_init__(self) -> None:
        if not _COLDEST <= self.celsius <= _HOTTEST:
            what = f"{self.celsius:g} °C is outside {_COLDEST:g} to {_HOTTEST:g}"
            raise RequestError("Temperature", what, "check whether it is Celsius (20C) or Fahrenheit (68F)")
        if not 0 <= self.humidity <= 100:
            raise RequestError("Humidity", f"{self.humidity:g} % is outside 0 to 100", "write 50%")

    @property
    def speed(self) -> float:
        """Speed of sound in free air, m/s."""
        return speed_of_sound(self.celsius, self.humidity)


def speed_of_sound(celsius: float, humidity: float = 0.0) -> float:
    """Speed of sound in air, m/s, at standard pressure and 400 ppm of carbon dioxide.

    Args:
        celsius: temperature; the equation was fitted from 0 to 30 °C.
        humidity: relative humidity, per cent.

    Source: Cramer, J. Acoust. Soc. Am. 93 (1993) 2510-2516, equation 15 and appendix.
    """
    t, p, x = celsius, PRESSURE, _water(celsius, humidity)
    return (
        331.5024
        + 0.603055 * t
        - 0.000528 * t**2
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * x
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * _CO2
        - 2.835149 * x**2
        - 2.15e-13 * p**2
        + 29.179762 * _CO2**2
        + 0.000486 * x * p * _CO2
    )


def _water(celsius: float, humidity: float) -> float:
    """Mole fraction of water vapour."""
    kelvin = celsius + 273.15
    saturation = math.exp(1.2811805e-5 * kelvin**2 - 1.9509874e-2 * kelvin + 34.04926034 - 6.3536311e3 / kelvin)
    enhancement = 1.00062 + 3.14e-8 * PRESSURE + 5.6e-7 * celsius**2
    return humidity / 100 * enhancement * saturation / PRESSURE
