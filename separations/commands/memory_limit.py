"""A memory limit so low that the libraries below would end the program without a word."""

from __future__ import annotations

import resource

from preflight.input_problem import InputProblem

#: Under this limit of address space libraries abort, measured with a small job on two cores, and
#: rounded up: threads and linear algebra lay claim to far more than they use.
LEAST_ADDRESS_SPACE_MIB = 2048


def need_address_space() -> None:
    """Refuse to begin where the shell allows too little address space (``ulimit -v``).

    Raises
    ------
    InputProblem
        When less than 2 GiB is allowed.
    """
    limit, _ = resource.getrlimit(resource.RLIMIT_AS)
    if limit != resource.RLIM_INFINITY and limit < LEAST_ADDRESS_SPACE_MIB * 2**20:
        raise InputProblem(
            where="this machine", found=f"a memory limit of {limit // 2**20} MiB for this program",
            would_do=f"{LEAST_ADDRESS_SPACE_MIB} MiB or more (ulimit -v unlimited)")
