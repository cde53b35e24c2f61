"""Under which light, on which backing and for which observer readings were made."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import get_args

from preflight.input_problem import InputProblem
from separations.colour.press_profile import MeasurementMode

_MODE = re.compile(r"M([0-3])(?![0-9])")
_ILLUMINANT = re.compile(r"\b(D[0-9]{2}|[ACE]|F(?:L)?[0-9]{1,2})\b")
_OBSERVER = re.compile(r"\b(2|10)\b")
#: Keywords of CGATS text that tell of it, in the order that they are shown.
CONDITION_KEYWORDS = (
    "MEASUREMENT_SOURCE", "ILLUMINATION_NAME", "OBSERVER_ANGLE", "WEIGHTING_FUNCTION", "FILTER",
    "POLARIZATION", "SAMPLE_BACKING", "MEASUREMENT_GEOMETRY", "INSTRUMENTATION")
_LIGHT_KEYWORDS = ("MEASUREMENT_SOURCE", "FILTER", "ILLUMINATION_NAME", "INSTRUMENTATION")
_NOT = ("", "no", "none", "false", "off", "n/a", "unpolarized")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuringCondition:
    """What a file of readings tells of how they were made.

    Attributes
    ----------
    mode : MeasurementMode or None
        M0 (lamp as it is), M1 (daylight with its ultraviolet), M2 (ultraviolet cut) or M3
        (polarised) of ISO 13655.
    backing : str
        What lay beneath the print; empty where not told.
    illuminant, observer : str
        For which colours were reckoned, such as ``D50`` and ``2``; empty where not told.
    says : str
        All of it as the file has it; empty where it tells nothing.
    """

    mode: MeasurementMode | None = None
    backing: str = ""
    illuminant: str = ""
    observer: str = ""
    says: str = ""

    def check_colours(self, where: str) -> None:
        """Refuse colours for another light or observer than D50 and 2 degrees.

        Raises
        ------
        InputProblem
            As told.
        """
        if self.illuminant not in ("", "D50") or self.observer not in ("", "2"):
            told = " and ".join(filter(None, (
                self.illuminant, f"{self.observer}°" if self.observer else "")))
            raise InputProblem(where=where, found=f"colours for {told}",
                               would_do="colours for D50 and 2°, or spectra,")


def condition_of_keywords(told: Mapping[str, str]) -> MeasuringCondition:
    """The condition that keywords of CGATS text tell.

    Notes
    -----
    Source: ISO 13655 for the modes. Programs write them as they like: ``M1``,
    ``MeasurementCondition=M1``, a filter called UV cut, a polarisation that is not no.
    """
    light = " ".join(told.get(key, "") for key in _LIGHT_KEYWORDS)
    reckoned = " ".join(told.get(key, "") for key in ("ILLUMINATION_NAME", "WEIGHTING_FUNCTION"))
    observer = told.get("OBSERVER_ANGLE", "") + " " + next(
        iter(re.findall(r"(?i)observer\W*([0-9]+)", reckoned)), "")
    shown = "; ".join(f"{key} {value[:60]}" for key, value in told.items() if value)
    return MeasuringCondition(
        mode=_mode_of(light, told.get("FILTER", ""), told.get("POLARIZATION", "")),
        backing=told.get("SAMPLE_BACKING", "")[:60],
        illuminant=_first(_ILLUMINANT, reckoned), observer=_first(_OBSERVER, observer), says=shown)


def condition_of_values(values: Mapping[str, str]) -> MeasuringCondition:
    """The condition that a CxF colour specification tells.

    Parameters
    ----------
    values : mapping of str to str
        Texts of its elements by their names.
    """
    shown = "; ".join(_told(values))
    return MeasuringCondition(
        mode=_mode_of(values.get("DeviceIllumination", ""), values.get("DeviceFilter", ""),
                      values.get("DevicePolarization", "")),
        backing=values.get("Backing", "")[:60],
        illuminant=_first(_ILLUMINANT, values.get("Illuminant", "")),
        observer=_first(_OBSERVER, values.get("Observer", "").replace("_", " ")), says=shown)


def _told(values: Mapping[str, str]) -> Iterator[str]:
    for name in ("DeviceIllumination", "DeviceFilter", "DevicePolarization", "Illuminant",
                 "Observer", "Method", "Backing", "Manufacturer", "Model"):
        if values.get(name):
            yield f"{name} {values[name][:60]}"


def _mode_of(light: str, filtered: str, polarised: str) -> MeasurementMode | None:
    found = _MODE.search(light)
    name = f"M{found[1]}" if found else None
    if name is None and polarised.strip().lower() not in _NOT:
        name = "M3"
    if name is None and "uv" in filtered.lower() and filtered.strip().lower() not in _NOT:
        name = "M2"
    return next((mode for mode in get_args(MeasurementMode) if mode == name), None)


def _first(pattern: re.Pattern[str], text: str) -> str:
    found = pattern.search(text)
    return found[1] if found else ""
