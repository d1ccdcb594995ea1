"""Compiled functions, cached on disk in a folder that changes whenever any compiled source does.

A cached caller otherwise keeps an edited callee's old machine code, since numba looks only at the caller's own file. So the
folder's name is a hash of every kernel source, numba's version and the processor. A compiled function lives in a
module whose name ends with ``kernels``.
"""

import hashlib
import os
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar, cast

from wattwright.core.errors import OwnFault

Function = TypeVar("Function", bound=Callable[..., object])


def kernel(function: Function) -> Function:
    """Return ``function`` compiled by numba without the interpreter, cached on disk (plain with NUMBA_DISABLE_JIT=1).

    Raises OwnFault when its module's name does not end with ``kernels``.
    """
    return _compiled(function)


def lean_kernel(function: Function) -> Function:
    """Return ``function`` compiled as by ``kernel``, but without counting references to arrays, which may take most of the time.

    It is built into its callers. Only for what other kernels call and what neither makes nor returns an array: Python's calls and
    arrays made within need the counting, and numba refuses to compile them without.
    """
    return _compiled(function, _nrt=False, forceinline=True)


def _compiled(function: Function, **options: Any) -> Function:
    import numba

    if not function.__module__.endswith("kernels"):
        raise OwnFault(f"{function.__module__} holds a compiled function but is not named so")
    source = Path(function.__code__.co_filename)
    settings: Any = numba.config
    settings.CACHE_DIR = str(cache_folder(package_root(source, function.__module__)))
    compiled = numba.njit(cache=True, error_model="numpy", fastmath=False, **options)(function)
    return cast("Function", compiled)


def package_root(source: Path, module: str) -> Path:
    """Return the folder of the top package that ``module``, defined in the file ``source``, belongs to."""
    return source.parents[module.count(".") - 1] if "." in module else source.parent


@lru_cache(maxsize=8)
def cache_folder(root: Path) -> Path:
    """Return where compiled code of the package under ``root`` is kept: named by its kernel sources and the machine."""
    import llvmlite.binding
    import numba

    digest = hashlib.sha256()
    digest.update(f"{numba.__version__}\0{llvmlite.binding.get_host_cpu_name()}\0".encode())
    digest.update(llvmlite.binding.get_host_cpu_features().flatten().encode())
    # Constants are built into the machine code, so the modules that hold the kernels' columns count too.
    for path in sorted((*root.rglob("*kernels.py"), *root.rglob("*columns.py"))):
        digest.update(str(path.relative_to(root)).encode() + b"\0" + path.read_bytes())
    return _caches() / "kernels" / digest.hexdigest()[:32]


def _caches() -> Path:
    given = os.environ.get("WATTWRIGHT_CACHE")
    if given:
        return Path(given)
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "wattwright"
