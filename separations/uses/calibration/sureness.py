"""How sure a press profile is, in a sentence."""

from __future__ import annotations

from collections.abc import Iterator

from separations.colour.press_profile import NINETY, PressProfile


def sureness_told(profile: PressProfile) -> str:
    """How far curves, n, solids and a proof may be off by what the readings leave open."""
    said = "Nine times in ten: " + "; ".join(_parts(profile)) + "."
    if profile.n_uncertainty is None:
        return said
    return said + (" Areas and n are the print model's: ± holds what the same sheet would tell if "
                   "it were read without noise; a microscope may find other areas.")


def _parts(profile: PressProfile) -> Iterator[str]:
    yield "areas within " + ", ".join(
        f"± {100 * NINETY * max(ink.curve_uncertainty):.1f} points ({ink.name})"
        for ink in profile.ink)
    if profile.n_uncertainty is not None:
        yield f"n {profile.n:.1f} ± {NINETY * profile.n_uncertainty:.2f}"
    solids = [ink for ink in profile.ink if ink.solid_uncertainty_de00 is not None]
    if solids:
        yield "solids within ΔE00 " + ", ".join(
            f"{ink.solid_uncertainty_de00:.1f} ({ink.name})" for ink in solids)
    overprints = [over.uncertainty_de00 for over in profile.overprint
                  if over.uncertainty_de00 is not None]
    if overprints:
        yield f"overprints within {max(overprints):.1f}"
    if profile.proof_uncertainty_de00 is not None:
        yield f"nine in ten tints of a proof within {profile.proof_uncertainty_de00:.1f}"
