"""Types of kernels' arguments as the table of first kernels tells them, read into numba's.

``float32[2C]`` is an array of two axes in C order (``F`` Fortran order, ``A`` any; an ``r`` after
it: not to be written to); a list is a tuple; a table of one name is that `NamedTuple`, with its
fields.
"""

from __future__ import annotations

import importlib
import re
from typing import Any

_ARRAY = re.compile(r"(\w+)\[(\d)([CFA])(r?)\]")
_OTHER_NAMES = {"bool": "boolean"}


def numba_type(told: Any) -> Any:
    """numba's type for one argument, from what the table tells.

    Parameters
    ----------
    told : str, list or dict
        As above.

    Raises
    ------
    AttributeError
        Where numba knows no type, or the module no class, of that name.
    """
    types: Any = importlib.import_module("numba.core.types")
    if isinstance(told, dict):
        (name, fields), = told.items()
        module, of_class = name.rsplit(".", 1)
        return types.BaseTuple.from_types(
            [numba_type(field) for field in fields],
            getattr(importlib.import_module(module), of_class))
    if isinstance(told, list):
        return types.BaseTuple.from_types([numba_type(field) for field in told])
    array = _ARRAY.fullmatch(told)
    if array is None:
        return getattr(types, _OTHER_NAMES.get(told, told))
    return types.Array(numba_type(array[1]), int(array[2]), array[3], readonly=bool(array[4]))
