"""Results kept by what they were made from, under a bound in bytes."""

from __future__ import annotations

import hashlib
import sys
import time
from collections import Counter
from collections.abc import Callable, Collection, Iterable
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
    """A result, and the blocks of memory that it holds, by their identities, with their bytes.

    Attributes
    ----------
    worth : float
        How long it took to make for each byte that it holds (s).
    """

    result: Any
    blocks: dict[int, int]
    worth: float


class KeptResults:
    """Results by their digests, under a bound.

    When there are too many, those go first that hold much for the time that making them took and
    were not asked for lately: the rule GreedyDual-Size (P. Cao and S. Irani, Cost-aware WWW proxy
    caching algorithms, USENIX Symposium on Internet Technologies and Systems, 1997). So dots of
    whole films do not drive out what each small picture needs.

    Any thread may ask. Of several that ask for one result at a time the first makes it and the
    others wait. Results must not be changed by those who get them.

    Parameters
    ----------
    most_bytes : int
        What all results together may hold; one that is larger than that is not kept.
    always : collection of str
        Names under which what is `made_of` values is kept until it is forgotten, whatever it
        holds.
    """

    def __init__(self, most_bytes: int = DEFAULT_BYTES, always: Collection[str] = ()) -> None:
        self.most_bytes = most_bytes
        self._always = frozenset(always)
        self._stays: dict[str, Any] = {}
        self._kept: dict[str, Kept] = {}
        self._ranks: dict[str, float] = {}
        self._gone_rank = 0.0
        self._making: dict[str, Future[Any]] = {}
        self._holders: Counter[int] = Counter()
        self._bytes = 0
        self._named: dict[str, set[str]] = {}
        self._lock = Lock()

    @property
    def is_for_one_look(self) -> bool:
        """Whether no result stays, so that what one asking made is its own."""
        return not self.most_bytes

    @property
    def held_bytes(self) -> int:
        """What is kept now under the bound; memory that several results share counts once."""
        return self._bytes

    def kept(self, digest: str) -> Kept | None:
        """The result of that digest, if it is kept."""
        with self._lock:
            return self._asked(digest)

    def result(self, digest: str, make: Callable[[], Result]) -> Result:
        """The result of that digest, made now if it is not kept.

        What ``make`` raises is raised to all who wait for it, and nothing is kept.
        """
        with self._lock:
            kept = self._asked(digest)
            if kept is not None:
                return cast("Result", kept.result)
            begun = self._making.get(digest)
            if begun is None:
                ours: Future[Any] = Future()
                self._making[digest] = ours
        if begun is not None:
            try:
                return cast("Result", begun.result())
            finally:
                del begun  # it knows the fault, which knows this call: they would keep each other
        began = time.monotonic()
        try:
            made = make()
            self._keep(digest, made, time.monotonic() - began)
        except BaseException as fault:
            with self._lock:
                self._making.pop(digest, None)
            ours.set_exception(fault)
            del ours  # as above
            raise
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
            if digest in self._stays:
                return cast("Result", self._stays[digest])
            self._named.setdefault(name, set()).add(digest)
        made = self.result(digest, make)
        if name in self._always:
            with self._lock:
                self._stays[digest] = made
        return made

    def forget_named(self, name: str) -> None:
        """Keep nothing any longer that was `made_of` values under that name."""
        with self._lock:
            digests = self._named.pop(name, set())
            for digest in digests:
                self._stays.pop(digest, None)
        self.forget(digests)

    def forget(self, digests: Collection[str] | None = None) -> None:
        """Keep none of these results any longer, or none at all."""
        with self._lock:
            for digest in list(self._kept) if digests is None else digests:
                self._drop(digest)

    def _asked(self, digest: str) -> Kept | None:
        kept = self._kept.get(digest)
        if kept is not None:
            self._ranks[digest] = self._gone_rank + kept.worth
        return kept

    def _keep(self, digest: str, made: Any, took_s: float) -> None:
        blocks = blocks_held(made) if self.most_bytes else {}
        held = sum(blocks.values())
        with self._lock:
            del self._making[digest]
            if not self.most_bytes or held > self.most_bytes:
                return
            self._kept[digest] = Kept(made, blocks, took_s / max(held, 1))
            for block, size in blocks.items():
                self._bytes += 0 if self._holders[block] else size
                self._holders[block] += 1
            while self._bytes > self.most_bytes:
                least = min(self._ranks, key=self._ranks.__getitem__)
                self._gone_rank = self._ranks[least]
                self._drop(least)
            self._asked(digest)

    def _drop(self, digest: str) -> None:
        """Count what a result held no longer, but for what others hold, too."""
        kept = self._kept.pop(digest, None)
        self._ranks.pop(digest, None)
        for block, size in kept.blocks.items() if kept else ():
            self._holders[block] -= 1
            if not self._holders[block]:
                del self._holders[block]
                self._bytes -= size


def digest_of(*texts: str) -> str:
    """A short name for texts, the same in every process: 128 bits of a BLAKE2b sum."""
    summed = hashlib.blake2b(digest_size=16)
    for text in texts:
        coded = text.encode("utf-8", "surrogatepass")
        summed.update(len(coded).to_bytes(8, "little"))
        summed.update(coded)
    return summed.hexdigest()


def blocks_held(value: Any) -> dict[int, int]:
    """The blocks of memory that a result holds, by identity, and about how many bytes each has."""
    blocks: dict[int, int] = {}
    _gather(value, blocks)
    return blocks


def _gather(value: Any, blocks: dict[int, int]) -> None:
    if value is None or id(value) in blocks:
        return
    match value:
        case np.ndarray():
            whole: Any = value
            while isinstance(whole.base, np.ndarray):
                whole = whole.base
            blocks[id(whole)] = int(whole.nbytes)
            return
        case bytes() | str():
            blocks[id(value)] = sys.getsizeof(value)
            return
        case BaseGeometry():
            points = int(get_num_coordinates(value))
            blocks[id(value)] = points * _BYTES_A_POINT + _BYTES_A_VALUE
            return
        case Image.Image():
            pixels = value.width * value.height * len(value.getbands())
            blocks[id(value)] = pixels + _BYTES_A_VALUE
            return
    blocks[id(value)] = _BYTES_A_VALUE
    for part in _parts(value):
        _gather(part, blocks)


def _parts(value: Any) -> Iterable[Any]:
    """What a table, a collection or an object holds, taken at once: others may add to it."""
    if isinstance(value, dict):
        return (*value.keys(), *value.values())
    if isinstance(value, tuple | list | set | frozenset):
        return tuple(value)
    if is_dataclass(value) and not isinstance(value, type):
        return [getattr(value, field.name, None) for field in fields(value)]
    held = getattr(value, "__dict__", None)
    return tuple(held.values()) if isinstance(held, dict) else ()
