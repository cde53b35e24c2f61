"""Results kept by what they were made from, under a bound in bytes."""

from __future__ import annotations

import hashlib
import sys
from collections import OrderedDict
from collections.abc import Callable, Collection
from concurrent.futures import Future
from dataclasses import dataclass, fields, is_dataclass
from threading import Lock
from typing import Any, ParamSpec, TypeVar, cast

import numpy as np
from PIL import Image
from shapely import get_num_coordinates
from shapely.geometry.base import BaseGeometry

Result = TypeVar("Result")
Given = ParamSpec("Given")

#: How much a session keeps unless it is told otherwise.
DEFAULT_BYTES = 1_610_612_736
_BYTES_A_POINT, _BYTES_A_VALUE = 16, 64


@dataclass(frozen=True, slots=True, eq=False)
class Kept:
    """A result, and about how many bytes it holds."""

    result: Any
    size: int


class KeptResults:
    """Results by their digests; the ones not asked for longest go first when there are too many.

    Any thread may ask. Of several that ask for one result at a time the first makes it and the
    others wait. Results must not be changed by those who get them.

    Parameters
    ----------
    most_bytes : int
        What all results together may hold; one that is larger than that is not kept.
    """

    def __init__(self, most_bytes: int = DEFAULT_BYTES) -> None:
        self.most_bytes = most_bytes
        self._kept: OrderedDict[str, Kept] = OrderedDict()
        self._making: dict[str, Future[Any]] = {}
        self._bytes = 0
        self._named: dict[str, set[str]] = {}
        self._lock = Lock()

    @property
    def held_bytes(self) -> int:
        """What is kept now."""
        return self._bytes

    def kept(self, digest: str) -> Kept | None:
        """The result of that digest, if it is kept."""
        with self._lock:
            if digest in self._kept:
                self._kept.move_to_end(digest)
            return self._kept.get(digest)

    def result(self, digest: str, make: Callable[[], Result]) -> Result:
        """The result of that digest, made now if it is not kept.

        What ``make`` raises is raised to all who wait for it, and nothing is kept.
        """
        with self._lock:
            if digest in self._kept:
                self._kept.move_to_end(digest)
                return cast("Result", self._kept[digest].result)
            begun = self._making.get(digest)
            if begun is None:
                ours: Future[Any] = Future()
                self._making[digest] = ours
        if begun is not None:
            return cast("Result", begun.result())
        try:
            made = make()
        except BaseException as fault:
            with self._lock:
                del self._making[digest]
            ours.set_exception(fault)
            raise
        self._keep(digest, made)
        ours.set_result(made)
        return made

    def by_value(self, function: Callable[Given, Result], *values: Given.args,
                 **named: Given.kwargs) -> Result:
        """What a pure function gives for these values, made once.

        Values are told apart by how they are written (``repr``): numbers, texts, and frozen tables
        of them.
        """
        told = f"{function.__module__}.{function.__qualname__}{values!r}{sorted(named.items())!r}"
        return self.result(digest_of(told), lambda: function(*values, **named))

    def made_of(self, name: str, values: tuple[object, ...],
                make: Callable[[], Result]) -> Result:
        """What ``make`` gives, made once for a name and plain values that decide it."""
        digest = digest_of(name, repr(values))
        with self._lock:
            self._named.setdefault(name, set()).add(digest)
        return self.result(digest, make)

    def forget_named(self, name: str) -> None:
        """Keep nothing any longer that was `made_of` values under that name."""
        with self._lock:
            digests = self._named.pop(name, set())
        self.forget(digests)

    def forget(self, digests: Collection[str] | None = None) -> None:
        """Keep none of these results any longer, or none at all."""
        with self._lock:
            for digest in list(self._kept) if digests is None else digests:
                kept = self._kept.pop(digest, None)
                self._bytes -= kept.size if kept else 0

    def _keep(self, digest: str, made: Any) -> None:
        size = bytes_held(made)
        with self._lock:
            del self._making[digest]
            if size > self.most_bytes or digest in self._kept:
                return
            self._kept[digest] = Kept(made, size)
            self._bytes += size
            while self._bytes > self.most_bytes:
                _, oldest = self._kept.popitem(last=False)
                self._bytes -= oldest.size


def digest_of(*texts: str) -> str:
    """A short name for texts, the same in every process: 128 bits of a BLAKE2b sum."""
    summed = hashlib.blake2b(digest_size=16)
    for text in texts:
        coded = text.encode("utf-8", "surrogatepass")
        summed.update(len(coded).to_bytes(8, "little"))
        summed.update(coded)
    return summed.hexdigest()


def bytes_held(value: Any) -> int:
    """About how much memory a result holds, arrays that several parts share counted once."""
    return _held(value, set())


def _held(value: Any, seen: set[int]) -> int:
    if id(value) in seen or value is None:
        return 0
    seen.add(id(value))
    match value:
        case np.ndarray():
            return _array_held(value, seen)
        case bytes() | str():
            return sys.getsizeof(value)
        case BaseGeometry():
            return int(get_num_coordinates(value)) * _BYTES_A_POINT + _BYTES_A_VALUE
        case Image.Image():
            return value.width * value.height * len(value.getbands()) + _BYTES_A_VALUE
        case dict():
            return sum(_held(k, seen) + _held(v, seen) for k, v in value.items())
        case tuple() | list() | set() | frozenset():
            return sum(_held(one, seen) for one in value) + _BYTES_A_VALUE
    if is_dataclass(value) and not isinstance(value, type):
        return _BYTES_A_VALUE + sum(_held(getattr(value, field.name, None), seen)
                                    for field in fields(value))
    held = getattr(value, "__dict__", None)
    return _BYTES_A_VALUE + (_held(held, seen) if isinstance(held, dict) else 0)


def _array_held(array: np.ndarray[Any, Any], seen: set[int]) -> int:
    """Bytes of the memory that an array is a part of."""
    whole = array
    while isinstance(whole.base, np.ndarray):
        whole = whole.base
    if whole is not array and id(whole) in seen:
        return 0
    seen.add(id(whole))
    return int(whole.nbytes)
