"""Where a job and its press profile tell different things of the same print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.job_file.board_tables import Varnish


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileDifference:
    """One thing that the job tells and its press profile measured; the profile's stands.

    Attributes
    ----------
    what : {"wood", "solid", "tone curve"}
        What is told twice.
    ink : str
        Whose it is; empty for the wood.
    in_job, in_profile : str
        The two, as shown.
    de00 : float
        Colour difference between the two; of tone curves the greatest over all tints of the ink.
    """

    what: Literal["wood", "solid", "tone curve"]
    ink: str = ""
    in_job: str
    in_profile: str
    de00: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VarnishFacts:
    """The varnish that a press profile was read under, and the one that the job prints under.

    Attributes
    ----------
    read_under, printed_under : Varnish
        The two.
    wood_de00, greatest_de00 : float
        What the model makes of the difference (ΔE00): of the bare wood, and at most over wood,
        solids and overprints.
    """

    read_under: Varnish
    printed_under: Varnish
    wood_de00: float
    greatest_de00: float
