"""Where a figure comes from, told in the same words everywhere that it is shown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum


class Basis(Enum):
    """What a figure rests on: the more trustworthy first."""

    MEASURED = "measured on this press"
    GIVEN = "given by the job"
    PUBLISHED = "published"
    PREDICTED = "predicted by the model"
    PRACTICE = "common practice, no source"
    OWN = "own rule, no source"
    MEMORY = "from memory, unverified"
    INVENTED = "invented"


#: Bases whose words are implied by what is told of them: a title with its year, a key of the job.
_SPEAK_FOR_THEMSELVES = (Basis.PUBLISHED, Basis.GIVEN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A figure's basis, and what is to be said of it.

    Attributes
    ----------
    basis : Basis
        What the figure rests on.
    told : str
        Of a published figure where it stands, and for what it was published; of one that the job
        gives, in which table; of others the reason, if there is one.
    further : str
        The source of a second figure that the first was reckoned with.
    """

    basis: Basis
    told: str = ""
    further: str = ""

    def __str__(self) -> str:
        own = (self.told if self.told and self.basis in _SPEAK_FOR_THEMSELVES
               else "; ".join(part for part in (self.told, self.basis.value) if part))
        return "; ".join(part for part in (own, self.further) if part)

    def beside(self, other: Source) -> Source:
        """The source, with that of a second figure told after it."""
        return replace(self, further="; ".join(part for part in (self.further, str(other)) if part))


def given(told: str) -> Source:
    """The source of what the job itself says, such as ``the job's [film] table``."""
    return Source(basis=Basis.GIVEN, told=told)
