"""Masses as people write them: ``"850 g"``, ``"1.2 kg"``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import PlainValidator

from preflight.job_file.job_values import ValueFault

_WRITTEN = re.compile(r"(\d+(?:\.\d+)?)\s*(g|kg)")
_MOST_G = 1e6


@dataclass(frozen=True, slots=True)
class Mass:
    """A mass in grams, and the words it was written in."""

    grams: float
    written: str


def mass(value: object) -> Mass:
    """Read a mass.

    Raises
    ------
    ValueFault
        When it is none, or more than a tonne.
    """
    found = _WRITTEN.fullmatch(value.strip()) if isinstance(value, str) else None
    grams = float(found[1]) * (1000.0 if found[2] == "kg" else 1.0) if found else -1.0
    if found is None or grams > _MOST_G:
        raise ValueFault("a mass such as \"850 g\" or \"1.2 kg\", up to 1000 kg,")
    return Mass(grams, " ".join(found[0].split()))


MassValue = Annotated[Mass, PlainValidator(mass)]
