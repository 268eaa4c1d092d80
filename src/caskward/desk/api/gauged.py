"""What comes back of gauging: the answer in words, and its figures with their doubt."""

from __future__ import annotations

from pydantic import Field

from caskward.desk.api.answers import Answer, Sentences


class Figure(Answer):
    """A figure and its doubt."""

    value: float = Field(description="The figure.", examples=[65.2267])
    standard: float = Field(description="Its standard uncertainty, in the same unit.", examples=[0.205])
    low: float = Field(description="The truth is above it 97.5 times in 100.", examples=[64.825])
    high: float = Field(description="The truth is below it 97.5 times in 100.", examples=[65.6285])


class Liquid(Answer):
    """A liquid of a mixture."""

    name: str = Field(description="What it is called.", examples=["water"])
    pct_vol: float = Field(description="Strength [%vol at 20 °C].", examples=[0.0])
    mass_kg: float = Field(description="True mass [kg].", examples=[2.7775])
    shown_kg: float = Field(description="What a scale shows [kg].", examples=[2.7746])
    temp_c: float = Field(description="Temperature at which `volume_l` is measured [°C].", examples=[20.0])
    volume_l: float = Field(description="Volume at that temperature [L].", examples=[2.7825])
    volume_20_l: float = Field(description="Volume [L at 20 °C].", examples=[2.7825])
    alcohol_l: float = Field(description="Pure alcohol in it [L at 20 °C].", examples=[0.0])


class Answered(Answer):
    """An answer in the maker's own words."""

    headline: str = Field(description="The answer in a sentence, in the units asked for.")
    lines: list[list[str]] = Field(description="What, and how much, as a page shows it.")
    notes: Sentences
    assumed: Sentences
    cautions: Sentences


class StrengthAnswer(Answered):
    """What a spirit or a wash really is."""

    figures: dict[str, Figure] = Field(
        description="By name, the unit in it: `pct_vol` [%vol at 20 °C], `pct_mass` [% by mass], `us_proof` "
        "[proof at 60 °F], `density_20_kg_m3`, `volume_20_l` [L at 20 °C], `mass_kg`, `lpa` [L of pure "
        "alcohol at 20 °C], `proof_gallons` and others; of a must and a wash theirs."
    )


class MixAnswer(Answered):
    """What to take and to add, or what results."""

    take: list[Liquid] = Field(description="What is there.")
    add: Liquid | None = Field(description="What is added; null where only what results was asked.")
    makes: Liquid = Field(description="What results.")
    contraction_l: float = Field(description="What is lost of the volumes by mixing [L at 20 °C].")
    strength_pct_vol: Figure | None = Field(
        description="Strength of what results, with its doubt [%vol at 20 °C]."
    )
    alcohol_l: Figure | None = Field(description="Pure alcohol in it [L at 20 °C].")
