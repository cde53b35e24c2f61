"""The part of a recorded track that a job wants: by time, or by point."""

from __future__ import annotations

import numpy as np

from preflight.input_problem import InputProblem
from preflight.job_file.track_tables import TrackTable
from preflight.nouns import counted
from preflight.tracks.track_points import TrackPoints


def wanted_part(points: TrackPoints, table: TrackTable, *, where: str) -> TrackPoints:
    """The points between the times, or the points, that a job names.

    Raises
    ------
    InputProblem
        When times are asked of a track without, or fewer than two points are left.
    """
    kept = np.ones(len(points), bool)
    if table.from_time is not None or table.to_time is not None:
        if np.isnan(points.seconds).any():
            raise InputProblem(where=f"{where}.from_time" if table.from_time else
                               f"{where}.to_time", found="a track with points without a time",
                               would_do="'from_point' and 'to_point'")
        if table.from_time is not None:
            kept &= points.seconds >= table.from_time.timestamp()
        if table.to_time is not None:
            kept &= points.seconds <= table.to_time.timestamp()
    if table.from_point is not None:
        kept &= points.number >= table.from_point
    if table.to_point is not None:
        kept &= points.number <= table.to_point
    if np.count_nonzero(kept) < 2:
        raise InputProblem(
            where=where, found=f"{counted(int(np.count_nonzero(kept)), 'point')} in the part "
                               "that is asked for",
            would_do="a part of two points or more (the file's track has "
                     f"{len(points)})")
    return points.only(kept)
