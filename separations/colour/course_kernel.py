"""Compiled work on ways through a lattice: along each way every coordinate goes one way only.

A way runs straight through the lattice's RGB from a vivid colour to white or towards black. Where
the photograph's own coordinate turns, so may the print's: there a new course begins.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.colour.tetrahedral import PARTS, WHOLE, lattice_path
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

FloatArray = NDArray[np.float64]

_PART_BITS = 15
_LAST_CELL = 31
_RED, _GREEN = 33 * 33, 33
_FAR = _RED + _GREEN + 1


class Ways(NamedTuple):
    """Straight ways through a lattice of 33 nodes a side.

    Attributes
    ----------
    starts, ends : ndarray, shape (W, 3), float64
        RGB where each begins and ends, 0 to 1.
    """

    starts: FloatArray
    ends: FloatArray


class WayRoom(NamedTuple):
    """Working space for one way of n places: where they lie, their colours, what becomes of them.

    ``nodes`` (n, 4) int64 and ``shares`` (n, 4) tell the lattice's corners about each place;
    ``lab`` (n, 3), ``weight``, ``fitted``, ``mean``, ``total`` (n,) and ``size`` (n,) int64.
    """

    nodes: NDArray[np.int64]
    shares: FloatArray
    lab: FloatArray
    weight: FloatArray
    fitted: FloatArray
    mean: FloatArray
    total: FloatArray
    size: NDArray[np.int64]


def way_room(places: int) -> WayRoom:
    """Working space for ways of that many places."""
    return WayRoom(
        np.empty((places, 4), np.int64), np.empty((places, 4)), np.empty((places, 3)),
        np.empty(places), np.empty(places), np.empty(places), np.empty(places),
        np.empty(places, np.int64))


@inner_kernel
def _find_places(ways: Ways, way: int, room: WayRoom) -> None:
    """The lattice's corners about each place of a way, and their shares."""
    places = room.weight.shape[0]
    for place in range(places):
        gone = place / (places - 1.0)
        left = 1.0 - gone
        red = int((ways.starts[way, 0] * left + ways.ends[way, 0] * gone) * WHOLE + 0.5)
        green = int((ways.starts[way, 1] * left + ways.ends[way, 1] * gone) * WHOLE + 0.5)
        blue = int((ways.starts[way, 2] * left + ways.ends[way, 2] * gone) * WHOLE + 0.5)
        r = min(red >> _PART_BITS, _LAST_CELL)
        g = min(green >> _PART_BITS, _LAST_CELL)
        b = min(blue >> _PART_BITS, _LAST_CELL)
        one, two, high, middle, low = lattice_path(
            red - (r << _PART_BITS), green - (g << _PART_BITS), blue - (b << _PART_BITS))
        base = r * _RED + g * _GREEN + b
        room.nodes[place, 0], room.nodes[place, 1] = base, base + one
        room.nodes[place, 2], room.nodes[place, 3] = base + two, base + _FAR
        room.shares[place, 0] = (PARTS - high) / PARTS
        room.shares[place, 1] = (high - middle) / PARTS
        room.shares[place, 2] = (middle - low) / PARTS
        room.shares[place, 3] = low / PARTS


@inner_kernel
def _gather(nodes: FloatArray, weights: FloatArray, room: WayRoom) -> None:
    """Colours and weights at each place of a way."""
    for place in range(room.weight.shape[0]):
        room.weight[place] = 0.0
        for axis in range(3):
            room.lab[place, axis] = 0.0
        for corner in range(4):
            share, node = room.shares[place, corner], room.nodes[place, corner]
            room.weight[place] += share * weights[node]
            for axis in range(3):
                room.lab[place, axis] += share * nodes[node, axis]


@inner_kernel
def _fit(room: WayRoom, axis: int, first: int, stop: int, direction: float) -> float:
    """The nearest course that goes one way only; what it costs. Pools adjacent violators."""
    pools = 0
    for place in range(first, stop):
        room.mean[pools] = direction * room.lab[place, axis]
        room.total[pools] = room.weight[place]
        room.size[pools] = 1
        pools += 1
        while pools > 1 and room.mean[pools - 2] > room.mean[pools - 1]:
            one, other = room.total[pools - 2], room.total[pools - 1]
            room.mean[pools - 2] = (one * room.mean[pools - 2] + other * room.mean[pools - 1]) / (
                one + other)
            room.total[pools - 2] = one + other
            room.size[pools - 2] += room.size[pools - 1]
            pools -= 1
    place, cost = first, 0.0
    for pool in range(pools):
        for _ in range(room.size[pool]):
            fitted = direction * room.mean[pool]
            away = fitted - room.lab[place, axis]
            cost += room.weight[place] * away * away
            room.fitted[place] = fitted
            place += 1
    return cost


@inner_kernel
def _turns_back(room: WayRoom, axis: int, first: int, stop: int, direction: float) -> bool:
    for place in range(first + 1, stop):
        if direction * (room.lab[place, axis] - room.lab[place - 1, axis]) < 0.0:
            return True
    return False


@inner_kernel
def _ask(room: WayRoom, axis: int, first: int, stop: int, moved: FloatArray) -> None:
    """Ask the nodes about the places of a course to move to what was fitted."""
    for place in range(first, stop):
        away = room.fitted[place] - room.lab[place, axis]
        if away != 0.0:
            for corner in range(4):
                moved[room.nodes[place, corner], axis] += room.shares[place, corner] * away


@inner_kernel
def _mark_turns(room: WayRoom, axis: int, least: float, way: int,
                courses: NDArray[np.int8]) -> None:
    """Number the stretches between a coordinate's turns by more than ``least``, from 1."""
    course, direction, extreme, lowest, highest = 1, 0, 0, 0, 0
    for place in range(room.weight.shape[0]):
        value = room.lab[place, axis]
        courses[way, place, axis] = course
        if direction == 0:
            lowest = place if value < room.lab[lowest, axis] else lowest
            highest = place if value > room.lab[highest, axis] else highest
            if value - room.lab[lowest, axis] > least:
                direction, extreme = 1, place
            elif room.lab[highest, axis] - value > least:
                direction, extreme = -1, place
        elif direction * (value - room.lab[extreme, axis]) >= 0.0:
            extreme = place
        elif direction * (room.lab[extreme, axis] - value) > least:
            course, direction = course + 1, -direction
            for since in range(extreme + 1, place + 1):
                courses[way, since, axis] = course
            extreme = place


@inner_kernel
def _choose_directions(room: WayRoom, axis: int, way: int, courses: NDArray[np.int8]) -> None:
    """Give the numbers of falling courses a minus: those for which that is the nearer way."""
    first, places = 0, room.weight.shape[0]
    for stop in range(1, places + 1):
        if stop == places or courses[way, stop, axis] != courses[way, first, axis]:
            if _fit(room, axis, first, stop, -1.0) < _fit(room, axis, first, stop, 1.0):
                for place in range(first, stop):
                    courses[way, place, axis] = -courses[way, place, axis]
            first = stop


@compiled_on_borrowed_arrays
def choose_courses(ways: Ways, photo: FloatArray, aims: FloatArray, weights: FloatArray,
                   least: float, room: WayRoom, courses: NDArray[np.int8],
                   touched: FloatArray) -> None:
    """Divide each way where the photograph turns, and say which way each course goes.

    Parameters
    ----------
    ways : Ways
        W ways.
    photo, aims : ndarray, shape (33^3, 3), float64
        Lab D50 of the photograph, and of what is aimed at, at every node.
    weights : ndarray, shape (33^3,), float64
        What it costs to move each node.
    least : float
        How far a coordinate must go back to count as a turn (Lab units).
    room : WayRoom
        Working space; its n is the number of places of each way.
    courses : ndarray, shape (W, n, 3), int8
        Receives the course's number, from 1, with the sign of its direction: the one that is
        nearer to the aims.
    touched : ndarray, shape (33^3,), float64
        Receives the sum of each node's shares in all places.
    """
    for node in range(touched.shape[0]):
        touched[node] = 0.0
    for way in range(ways.starts.shape[0]):
        _find_places(ways, way, room)
        _gather(photo, weights, room)
        for place in range(room.weight.shape[0]):
            for corner in range(4):
                touched[room.nodes[place, corner]] += room.shares[place, corner]
        for axis in range(3):
            _mark_turns(room, axis, least, way, courses)
        _gather(aims, weights, room)
        for axis in range(3):
            _choose_directions(room, axis, way, courses)


@compiled_on_borrowed_arrays
def pull_to_courses(ways: Ways, courses: NDArray[np.int8], aims: FloatArray, weights: FloatArray,
                    room: WayRoom, moved: FloatArray) -> None:
    """Add up how far each node must move for the courses to go one way only.

    Parameters
    ----------
    ways, courses, aims, weights, room
        As for `choose_courses`, which made the courses.
    moved : ndarray, shape (33^3, 3), float64
        Receives the sum over all places of what each node is asked to move (Lab units).
    """
    places = room.weight.shape[0]
    for node in range(moved.shape[0]):
        for axis in range(3):
            moved[node, axis] = 0.0
    for way in range(ways.starts.shape[0]):
        _find_places(ways, way, room)
        _gather(aims, weights, room)
        for axis in range(3):
            first = 0
            for stop in range(1, places + 1):
                if stop == places or courses[way, stop, axis] != courses[way, first, axis]:
                    direction = 1.0 if courses[way, first, axis] > 0 else -1.0
                    if _turns_back(room, axis, first, stop, direction):
                        _fit(room, axis, first, stop, direction)
                        _ask(room, axis, first, stop, moved)
                    first = stop
