"""The usual cautions of the trade, shown with each job that calls for them.

They name the hazard and defer to the safety data sheet, local codes and licensed practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from preflight.job_file.job_tables import Stage

DEFER = ("These lines are reminders, not instructions. The safety data sheet of each product, "
         "your local codes and licensed practice decide.")

#: For the terminal, where films are made.
REMINDER = ("Caution: UV light, uncured ink, solvents and their rags, stencil removers, dust, "
            "two-part varnish and the hot press can hurt you.\nThe safety data sheets, your local "
            "codes and licensed practice decide.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One hazard: what to keep in mind, and where that comes from."""

    hazard: str
    keep_in_mind: str
    source: str


_UV_INKS = ("HSE, COSHH Essentials for printers P7, Printing with UV-curable inks and coatings "
            "(written for lithographic printing)")
_ALWAYS = (
    Caution(
        hazard="UV light (exposing screens, curing ink)",
        keep_in_mind="Keep the lamp guarded and interlocked; no bare eyes or skin in its light; "
                     "draw off the ozone and ventilate.",
        source=_UV_INKS),
    Caution(
        hazard="Uncured ink",
        keep_in_mind="Acrylates in UV-cured ink irritate and can sensitise the skin for good; "
                     "solvents and hardeners in others have dangers of their own. Wear suitable "
                     "gloves, keep ink off the skin, change gloves that are splashed.",
        source=_UV_INKS),
    Caution(
        hazard="Solvents and screen wash",
        keep_in_mind="Vapours make you dizzy; long exposure does lasting harm. Ventilate, keep "
                     "flames and sparks away (read the flash point), never clean skin with "
                     "solvent. Rags catch fire: keep them in a closed metal bin.",
        source="HSE, COSHH and printers: key messages; on rags COSHH Essentials for printers P39 "
               "(written for ink-jet printing); on the flash point from memory"),
    Caution(
        hazard="Stencil and haze removers, emulsion, pressure washer",
        keep_in_mind="Sensitisers can make skin allergic; many removers are caustic and burn skin "
                     "and eyes: goggles, gauntlets, an apron, water at hand; mix only as the sheet "
                     "says. The washer's jet wounds, and mist and noise do harm: shield face and "
                     "ears.",
        source="common practice, no source"),
    Caution(
        hazard="Wood and bamboo dust",
        keep_in_mind="Wood dust causes cancer of the nose and sinuses; treat bamboo the same. Sand "
                     "with extraction and a fitting mask.",
        source="IARC Monographs 62 (1995) and 100C (2012)"),
    Caution(
        hazard="Varnish, two-part above all",
        keep_in_mind="Isocyanate hardeners cause asthma. Prefer low-volatility products; "
                     "extraction and health checks as the data sheet says. Sprayed, they call "
                     "for an air-fed mask: filter masks do not protect.",
        source="HSE, Types of respiratory protective equipment to use for spraying (vehicle body "
               "shops); COSHH Essentials for printers P23 (isocyanate inks, not varnish)"),
)
_PRESS = Caution(
    hazard="Hot press and resin",
    keep_in_mind="Crushing and burning hazard; resin and hardener sensitise. Keep to the press "
                 "maker's guards and the resin's data sheet; ventilate while it cures.",
    source="common practice, no source")


#: What can hurt while stencils are exposed and washed out.
STENCIL_CAUTIONS = tuple(one for one in _ALWAYS if one.hazard.startswith(("UV light", "Stencil")))


def cautions_for(stage: Stage) -> tuple[Caution, ...]:
    """The cautions of a job: all the usual ones, and the hot press where it follows printing."""
    return (*_ALWAYS, _PRESS) if stage == "sheet" else _ALWAYS
