"""Which frame each hit takes: all at once, or reclaimed and exposed again where there are few."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenUse:
    """The screen of one hit.

    Attributes
    ----------
    hit : int
        The hit, from 1.
    frame : int
        Which frame it takes, from 1.
    reclaimed_after : int
        The hit after which that frame was reclaimed for this one; 0 for a frame exposed at the
        start of the day.
    new_cloth : bool
        Whether the frame must be stretched anew, since its cloth was another one.
    """

    hit: int
    frame: int
    reclaimed_after: int = 0
    new_cloth: bool = False


def screens_for(meshes: Sequence[str], frames: int | None) -> tuple[ScreenUse, ...]:
    """Share frames out to hits.

    Parameters
    ----------
    meshes : sequence of str
        The cloth that each hit prints through, in print order.
    frames : int or None
        How many frames can be hung at a time; None for one each.

    Notes
    -----
    A frame that is free takes the next hit of its own cloth, the longest free first; only where
    there is none is one stretched anew.
    """
    count = len(meshes) if frames is None else min(frames, len(meshes))
    uses = [ScreenUse(hit=hit, frame=hit) for hit in range(1, count + 1)]
    holds = {hit: (hit, meshes[hit - 1]) for hit in range(1, count + 1)}
    for hit in range(count + 1, len(meshes) + 1):
        free = sorted(holds.items(), key=lambda held: held[1][0])
        free = [held for held in free if held[1][0] < hit]
        same = [held for held in free if held[1][1] == meshes[hit - 1]]
        frame, (last, _) = (same or free)[0]
        uses.append(ScreenUse(hit=hit, frame=frame, reclaimed_after=last, new_cloth=not same))
        holds[frame] = hit, meshes[hit - 1]
    return tuple(uses)
