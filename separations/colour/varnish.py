"""Wood and inks under a clear coat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from preflight.facts.profile_facts import VarnishFacts
from preflight.job_file.board_tables import Varnish
from preflight.job_file.job import Job
from separations.colour.colorimetry import (
    colour_difference,
    lab_to_xyz,
    wide_rgb_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.colour.ink_figures import Lab
from separations.colour.job_inks import (
    ink_colour,
    job_spectra,
    model_on,
    printed_wood_lab,
    profile_of,
    whole_model,
)
from separations.colour.layering import SURFACE_OVER_DARKEST, surface_reflection
from separations.colour.lights import light_named
from separations.colour.print_model import PrintModel
from separations.colour.spectral_layering import spectral_surface
from separations.colour.spectral_print import SpectralPrint
from separations.colour.surface import (
    RESIN_K1,
    RESIN_K2,
    Surface,
    beneath_surface,
    through_surface,
)

#: Clear coats, by how much of their surface's light is seen. Own rule; that gloss sends next to
#: nothing of it aside and matt nearly all is from memory, unverified. Dalal and Natale-Hoffman
#: 1999 found the same of prints: what gloss sends off as a mirror, matt sends every way.
COATS: dict[Varnish, Surface] = {
    "matt": Surface(k1=RESIN_K1, k2=RESIN_K2, caught=0.8),
    "satin": Surface(k1=RESIN_K1, k2=RESIN_K2, caught=0.4),
    "gloss": Surface(k1=RESIN_K1, k2=RESIN_K2, caught=0.0)}
#: The open face of bare wood sends less back inwards than a closed film does: half way of the
#: 0.4 to 0.6 that are usual. Own rule; no reading of bamboo before and after was at hand.
_OPEN_K2 = 0.5
_LEAST_LIGHT = 1e-5


def read_under(job: Job) -> Varnish:
    """The varnish that the job's colours were read through: its press profile's, else none."""
    profile = profile_of(job)
    return profile.varnish if profile else "none"


def model_under(job: Job, varnish: Varnish, lighter: float = 1.0, *,
                readings: bool = True) -> PrintModel:
    """Wood and all the job's inks as they look under a varnish, or under none.

    Parameters
    ----------
    job : Job
        The job.
    varnish : Varnish
        The coat.
    lighter, readings
        As `separations.colour.job_inks.whole_model` has them.

    Notes
    -----
    The wood is led from its own surface to the coat's (`separations.colour.surface`), and the inks
    are laid on it anew: a clear coat fills the open face, so that light within it is sent back
    more often, and what shows through the inks grows darker with it. What was measured of inks
    keeps its inside, since an ink's own film had closed the face already, and takes the coat's
    surface in place of its own.

    Raises
    ------
    InputProblem
        When there are more inks than the model takes.
    """
    spectral = print_under(job, varnish, lighter)
    if spectral is not None:
        return spectral.under(light_named("D50"))
    before = read_under(job)
    if varnish == before:
        return whole_model(job, lighter, readings=readings)
    wood = xyz_to_wide_rgb(lab_to_xyz(printed_wood_lab(job)) * lighter)
    inks = surface_reflection([ink_colour(job, ink).film() for ink in job.ink])
    told, now = (inks if coat == "none" else COATS[coat].light for coat in (before, varnish))
    faces = {**COATS, "none": _open_face(wood)}
    coated = through_surface(beneath_surface(wood, faces[before]), faces[varnish])
    body = coated - faces[varnish].light + told
    model = model_on(job, _lab(body), readings=readings)
    rgb = model.primaries_rgb + (now - told)
    rgb[0] = coated
    return replace(model, primaries_rgb=np.maximum(rgb, _LEAST_LIGHT))


def print_under(job: Job, varnish: Varnish, lighter: float = 1.0) -> SpectralPrint | None:
    """The same as spectra, band by band; None where not all inks and the wood have some.

    Spectra are of bare wood and bare inks.
    """
    spectra = job_spectra(job)
    if spectra is None:
        return None
    wood = spectra.wood * lighter
    if varnish == "none":
        return spectra.printed_on(wood)
    told, now = spectral_surface(spectra.inks), COATS[varnish].light
    coated = through_surface(beneath_surface(wood, _open_face(wood)), COATS[varnish])
    bare = spectra.printed_on(np.maximum(coated - now + told, _LEAST_LIGHT))
    primaries = bare.primaries + (now - told)
    primaries[0] = coated
    return replace(bare, primaries=np.maximum(primaries, _LEAST_LIGHT))


def _open_face(wood_rgb: NDArray[np.float64]) -> Surface:
    """The surface of bare wood: matt, and never more of its light than a dark wood can hold."""
    most = SURFACE_OVER_DARKEST * float(wood_rgb.min())
    return Surface(k1=RESIN_K1, k2=_OPEN_K2, caught=min(1.0, most / RESIN_K1))


def _lab(rgb: NDArray[np.float64]) -> Lab:
    light, a, b = (float(v) for v in xyz_to_lab(wide_rgb_to_xyz(np.maximum(rgb, _LEAST_LIGHT))))
    return light, a, b


def varnish_facts(job: Job) -> VarnishFacts | None:
    """Whether the job's press profile was read under the varnish that it prints under.

    None where the job has no profile, or one without colours.
    """
    profile = profile_of(job)
    if profile is None or not profile.tells_colours:
        return None
    asked = job.finish.varnish
    labs = [model_under(job, varnish).primaries_lab for varnish in (profile.varnish, asked)]
    off = colour_difference(*labs)
    return VarnishFacts(read_under=profile.varnish, printed_under=asked,
                        wood_de00=float(off[0]), greatest_de00=float(off.max()))
