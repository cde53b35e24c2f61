"""The table's words for types are numba's types, and back."""

from __future__ import annotations

import importlib
from typing import Any

import pytest

from separations.halftone.packed_rows import fill_runs
from separations.runtime.first_kernels import first_kernels
from separations.runtime.kernel_types import numba_type
from separations.runtime.kernel_worker import compile_group
from tests.kernel_table import told_type

types: Any = importlib.import_module("numba.core.types")
ALL = [told for group in first_kernels() for sets in group.kernels.values() for told in sets]


@pytest.mark.parametrize(("told", "numba"), [
    ("int64", types.int64), ("bool", types.boolean),
    ("float32[2C]", types.Array(types.float32, 2, "C")),
    ("uint16[3A]", types.Array(types.uint16, 3, "A")),
    ("int16[1Cr]", types.Array(types.int16, 1, "C", readonly=True)),
    (["int64", "int64"], types.UniTuple(types.int64, 2)),
    (["int64", "float64"], types.Tuple((types.int64, types.float64)))])
def test_each_form(told: Any, numba: Any) -> None:
    assert numba_type(told) == numba


def test_the_whole_table_is_read_as_it_was_told() -> None:
    assert ALL
    for told in ALL:
        assert [told_type(numba_type(argument)) for argument in told] == told


def test_a_named_tuple_is_of_its_class() -> None:
    name = "separations.colour.tetrahedral.Places"
    read = numba_type({name: ["int32[1C]", "int32[1C]"]})
    assert f"{read.instance_class.__module__}.{read.instance_class.__qualname__}" == name


def test_a_group_is_compiled_and_what_is_unknown_left_alone() -> None:
    kernel: Any = fill_runs
    told = ["int32[1C]", "int64[1C]", "int64", "uint8[2C]"]
    compile_group({"separations.none:none": [[]],
                   "separations.halftone.packed_rows:fill_runs": [["no type"], told]})
    assert tuple(numba_type(argument) for argument in told) in kernel.overloads
