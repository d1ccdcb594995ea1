"""Compiled functions, cached on disk in a folder that changes whenever any compiled source does.

A cached caller otherwise keeps an edited callee's old machine code, since numba looks only at the caller's own file. So the
folder's name is a hash of every kernel source, numba's version and the processor. A compiled function lives in a
module whose name ends with ``kernels``.
"""

import hashlib
import importlib
import os
import sys
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
    import numba

    _require_name(function)
    _leave_linear_algebra_out()
    source = Path(function.__code__.co_filename)
    settings: Any = numba.config
    settings.CACHE_DIR = str(cache_folder(package_root(source, function.__module__)))
    return cast("Function", numba.njit(cache=True, error_model="numpy", fastmath=False)(function))


def lean_kernel(function: Function) -> Function:
    """Return ``function``, which is built into the kernels that call it without counting references to arrays.

    Counting may take most of the time. Only for what neither makes nor returns an array: numba refuses to compile that without.
    Python itself calls it as plain Python, so the compiler need not make a door for each, nor keep each on disk: that took a
    quarter of its time. Raises OwnFault as ``kernel`` does.
    """
    from numba.extending import register_jitable

    _require_name(function)
    built_in: Callable[[Function], Function]
    built_in = register_jitable(_nrt=False, forceinline=True, error_model="numpy", fastmath=False)
    return built_in(function)


@lru_cache(maxsize=1)
def _leave_linear_algebra_out() -> None:
    """Let numba read its array functions without reading scipy's linear algebra for them.

    It does so only to ask whether it is there, which takes a sixth of the time from start to a first day. Whoever compiles a
    product of matrices still asks for it then.
    """
    import numba

    settings: Any = numba.config
    if settings.DISABLE_JIT or "numba.np.arraymath" in sys.modules:
        return
    linear = importlib.import_module("numba.np.linalg")
    asked = vars(linear).get("ensure_blas")
    if asked is None:
        return
    vars(linear)["ensure_blas"] = lambda: None
    try:
        vars(importlib.import_module("numba.np.arraymath"))["ensure_blas"] = asked
    finally:
        vars(linear)["ensure_blas"] = asked


def _require_name(function: Callable[..., object]) -> None:
    if not function.__module__.endswith("kernels"):
        raise OwnFault(f"{function.__module__} holds a compiled function but is not named so")


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
