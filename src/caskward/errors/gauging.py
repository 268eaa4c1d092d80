"""What a reading, a mixture or a card can get wrong."""

from __future__ import annotations

from caskward.errors.common import ImpossibleIntent, InputError


class HotSample(InputError):
    """A sample too warm for the tables behind a reading."""

    def __init__(self, temp_c: float, most_c: float) -> None:
        meant = f" If {temp_c:g} °F was meant, write {temp_c:g} F." if 45.0 <= temp_c <= 104.0 else ""
        self.plain = (
            f"The sample is at {temp_c:g} °C, and can be read up to {most_c:g} °C. Cool it, covered so that "
            "nothing steams off, to near 20 °C and read it again."
        )
        super().__init__(f"{self.plain}{meant}")


class FrozenSample(InputError):
    """A sample colder than any table of strength, or than where spirit of its strength begins to freeze."""

    def __init__(self, temp_c: float, least_c: float, pct_vol: float | None = None) -> None:
        if pct_vol is not None:
            super().__init__(
                f"At {temp_c:.4g} °C spirit of {pct_vol:.3g} %vol is partly frozen: it begins to freeze near "
                f"{least_c:.2g} °C, and what stays liquid is stronger. Warm it to near 20 °C until nothing "
                "is frozen, stir, and measure it again."
            )
            return
        super().__init__(
            f"The sample is at {temp_c:g} °C, and can be read down to {least_c:g} °C. "
            "Warm it to near 20 °C and read it again."
        )


class TemperatureNotSaid(InputError):
    """A reading whose temperature the answer depends on."""

    def __init__(self, reading: str) -> None:
        # A span of degrees is said as one: as a temperature, a page would turn 10 °C into 50 °F.
        warm = "72 F" if "proof" in reading.lower() else "22 C"
        super().__init__(
            f"{reading} says little without the sample's temperature: 10 K (18 °F) shift it by about 3 %vol. "
            f"Write it like {reading} at {warm}."
        )


class HeavierThanWater(InputError):
    """A density that no mixture of water and ethanol has, on the heavy side."""

    def __init__(self, shown: str, temp_c: float, water: str, meant: str = "") -> None:
        super().__init__(
            f"{shown} at {temp_c:g} °C is heavier than water ({water}), so sugar or other solids are in it. "
            + (meant or "Gauge a wash by its gravity; of sweet spirit distil a sample, or say the sugar.")
        )


class LighterThanAlcohol(InputError):
    """A density that no mixture of water and ethanol has, on the light side."""

    def __init__(self, shown: str, temp_c: float, ethanol: str, meant: str = "") -> None:
        super().__init__(
            f"{shown} at {temp_c:g} °C is lighter than pure alcohol ({ethanol}). "
            + (meant or "Check the reading and the temperature.")
        )


class ScaleCannotShow(InputError):
    """An alcoholometer's mark that no mixture floats it to at this temperature."""

    def __init__(self, shown: str, temp_c: float, least: str, most: str, meant: str = "") -> None:
        super().__init__(
            f"At {temp_c:g} °C no spirit shows {shown} on this scale; it can show {least} to {most}. "
            + (meant or "Check the reading, the temperature and what the scale is made for.")
        )


class PerhapsProof(InputError):
    """A strength over 100 % that would be a proof."""

    def __init__(self, pct_vol: float) -> None:
        super().__init__(
            f"{pct_vol:g} %vol is more than pure alcohol. If {pct_vol:g} US proof was meant, which is about "
            f"{pct_vol / 2:g} %vol, write {pct_vol:g} proof."
        )


class TooSweetToTell(InputError):
    """A wash's reading that no mixture of water, alcohol and sugar has."""

    def __init__(self, first: str, second: str, why: str) -> None:
        super().__init__(
            f"{first} and {second} do not belong to one wash: {why}. "
            "Filter the sample, let the gas out, and read both again at the same temperature."
        )


class NoSuchBlend(ImpossibleIntent):
    """A strength that does not lie between those of the liquids to be mixed."""

    def __init__(self, wanted_pct_vol: float, weaker_pct_vol: float, stronger_pct_vol: float) -> None:
        if wanted_pct_vol > stronger_pct_vol:
            advice = f"Blend with something stronger than {wanted_pct_vol:.4g} %vol."
        else:
            advice = f"Blend with something weaker than {wanted_pct_vol:.4g} %vol, such as water."
        super().__init__(
            f"{wanted_pct_vol:.4g} %vol cannot be mixed from {weaker_pct_vol:.4g} and {stronger_pct_vol:.4g} "
            f"%vol: a mixture lies between the two. {advice}"
        )


class NotEnoughSpirit(ImpossibleIntent):
    """More of a liquid is needed than there is."""

    def __init__(self, name: str, needed_l: float, there_l: float, most_l: float) -> None:
        super().__init__(
            f"That takes {needed_l:.4g} L of {name}, and there are {there_l:.4g} L, which make {most_l:.4g} "
            "L. Ask for less, or use it all."
        )


class NoSuchCard(InputError):
    """A correction card on which every place would be empty."""

    def __init__(self, first: float, last: float, unit: str) -> None:
        super().__init__(
            f"No spirit shows {first:g} to {last:g} {unit} at these temperatures: the card is empty. "
            "Give the marks that you read, and how warm your samples are."
        )


class TooLittleToAdd(ImpossibleIntent):
    """Not enough of the stronger spirit that is to lift a mixture."""

    def __init__(self, name: str, there: str, needed_l: float, needed_kg: float) -> None:
        super().__init__(
            f"That takes {needed_l:.4g} L ({needed_kg:.4g} kg) of {name}, and there are {there}. "
            "Add something stronger, or ask for less."
        )


class SweetDiluent(InputError):
    """Something with sugar in it, where water or spirit is added."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name.capitalize()} brings sugar, which takes up room and hides strength, and this sum knows "
            "spirit and water alone. Reduce with water first, then sweeten, and have the strength found by "
            "distilling."
        )


class LighterThanWater(InputError):
    """A lone gravity under water's, read as sugar."""

    def __init__(self, plato: float) -> None:
        super().__init__(
            f"This is lighter than water ({plato:.1f} °P), so it is no sugar in water. For a finished wash "
            "give its original gravity (--original) or a refractometer reading; for a spirit say --spirit."
        )
