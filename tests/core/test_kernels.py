"""Compiled functions: the compiled answer is the plain one, and an edited callee is never answered from an old cache."""

import os
import subprocess
import sys
from types import ModuleType

import numba
import numpy as np
import pytest

from wattwright.core import kernels
from wattwright.core.errors import OwnFault, Place

INNER = """
{imports}

{decorator}
def weight(x):
    return {factor} * x
"""
OUTER = """
{imports}
from stale_sample.inner_kernels import weight

{decorator}
def total(values):
    result = 0.0
    for value in values:
        result += weight(value)
    return result
"""
RUN = "import numpy as np; from stale_sample.outer_kernels import total; print(total(np.array([1.0, 2.0, 4.0])))"
OURS = {"imports": "from wattwright.core.kernels import kernel", "decorator": "@kernel"}
PLAIN = {"imports": "import numba", "decorator": "@numba.njit(cache=True)"}


def write(folder, style, factor):
    package = folder / "stale_sample"
    package.mkdir(exist_ok=True)
    (package / "__init__.py").write_text("")
    (package / "inner_kernels.py").write_text(INNER.format(**style, factor=factor))
    outer = package / "outer_kernels.py"
    if not outer.exists():
        outer.write_text(OUTER.format(**style))


def answer(folder, root, cache):
    """What a new process answers, compiled."""
    environment = {**os.environ, "PYTHONPATH": f"{folder}{os.pathsep}{root / 'src'}", "WATTWRIGHT_CACHE": str(cache)}
    # Python's own cache knows a file by its second and its length: one that is edited within a second looks the same to it.
    environment["PYTHONDONTWRITEBYTECODE"] = "1"
    for name in ("NUMBA_DISABLE_JIT", "NUMBA_CACHE_DIR"):
        environment.pop(name, None)
    done = subprocess.run([sys.executable, "-c", RUN], env=environment, capture_output=True, text=True, check=True)
    return float(done.stdout)


@pytest.mark.parametrize(("style", "after"), [(OURS, 21.0), (PLAIN, 14.0)], ids=["ours", "numba's own cache"])
def test_edited_callee_is_seen_by_its_cached_caller(tmp_path, root, style, after):
    """Weights of 2 give 2 x (1 + 2 + 4) = 14, of 3 give 21. Numba's own cache keeps 14, which is why ours exists."""
    write(tmp_path, style, 2)
    assert answer(tmp_path, root, tmp_path / "cache") == 14.0
    write(tmp_path, style, 3)
    assert answer(tmp_path, root, tmp_path / "cache") == after


def test_unchanged_sources_are_compiled_once(tmp_path, root):
    """A second process finds the compiled code: no new file appears in the cache."""
    write(tmp_path, OURS, 2)
    cache = tmp_path / "cache"
    answer(tmp_path, root, cache)
    before = sorted(cache.rglob("*.nb*"))
    assert before
    answer(tmp_path, root, cache)
    assert sorted(cache.rglob("*.nb*")) == before


@pytest.mark.kernel
def test_kernel_gives_the_plain_answer(tmp_path, monkeypatch):
    """Compiled or plain, the marked function answers as Python does; division by nought is infinite, as in numpy."""
    monkeypatch.setenv("WATTWRIGHT_CACHE", str(tmp_path))
    kernels.cache_folder.cache_clear()
    source = tmp_path / "probe_kernels.py"
    source.write_text("def ratio(a, b):\n    return a / b\n")
    space = {"__name__": "probe_kernels"}
    exec(compile(source.read_text(), str(source), "exec"), space)
    ratio = kernels.kernel(space["ratio"])
    kernels.cache_folder.cache_clear()
    assert ratio(6.0, 4.0) == 1.5
    if os.environ.get("NUMBA_DISABLE_JIT") != "1":
        assert ratio(1.0, 0.0) == np.inf
        assert ratio.signatures
        assert list(tmp_path.rglob("*.nbi"))


@pytest.mark.kernel
def test_lean_kernel_is_built_into_its_caller(tmp_path, monkeypatch):
    """A kernel that works on rows of an array by way of a lean one leaves the same in them: 2 x (1 + 2) and 2 x (3 + 4)."""
    monkeypatch.setenv("WATTWRIGHT_CACHE", str(tmp_path))
    kernels.cache_folder.cache_clear()
    source = tmp_path / "probe_kernels.py"
    source.write_text(
        "@lean_kernel\ndef double(row):\n    row[0] = 2 * (row[0] + row[1])\n\n"
        "@kernel\ndef doubles(rows):\n    for i in range(len(rows)):\n        double(rows[i])\n"
    )
    space = {"__name__": "probe_kernels", "kernel": kernels.kernel, "lean_kernel": kernels.lean_kernel}
    exec(compile(source.read_text(), str(source), "exec"), space)
    kernels.cache_folder.cache_clear()
    rows = np.array([[1.0, 2.0], [3.0, 4.0]])
    space["doubles"](rows)
    assert rows.tolist() == [[6.0, 2.0], [14.0, 4.0]]


def test_module_that_is_not_named_for_it_is_refused():
    """The name of a module says that it is compiled, since its name is how a change of it is seen."""
    with pytest.raises(OwnFault, match="not named so"):
        kernels.kernel(Place.__str__)


def test_folder_follows_sources_and_place(tmp_path, monkeypatch):
    """An edited kernel source or module of columns gives another folder, other files do not; it lies where it shall."""
    monkeypatch.setenv("WATTWRIGHT_CACHE", str(tmp_path / "c"))
    root = tmp_path / "p"
    (root / "sub").mkdir(parents=True)
    (root / "a_kernels.py").write_text("1")

    def folder():
        kernels.cache_folder.cache_clear()
        return kernels.cache_folder(root)

    first = folder()
    assert first.parent == tmp_path / "c" / "kernels"
    (root / "other.py").write_text("1")
    assert folder() == first
    (root / "sub" / "b_kernels.py").write_text("1")
    second = folder()
    (root / "sub" / "b_kernels.py").write_text("2")
    third = folder()
    (root / "columns.py").write_text("LAST = 3")
    assert len({first, second, third, folder()}) == 4
    kernels.cache_folder.cache_clear()


def test_caches_lie_where_the_system_keeps_them(tmp_path, monkeypatch):
    """Without a folder of its own, the XDG base directory's, or .cache at home."""
    monkeypatch.delenv("WATTWRIGHT_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "x"))
    kernels.cache_folder.cache_clear()
    assert kernels.cache_folder(tmp_path).is_relative_to(tmp_path / "x" / "wattwright")
    monkeypatch.setenv("XDG_CACHE_HOME", "")
    monkeypatch.setenv("HOME", str(tmp_path / "h"))
    kernels.cache_folder.cache_clear()
    assert kernels.cache_folder(tmp_path).is_relative_to(tmp_path / "h" / ".cache" / "wattwright")
    kernels.cache_folder.cache_clear()


def test_root_of_a_package_is_found_from_any_depth(tmp_path):
    """The top package's folder, or the folder of a lone module."""
    assert kernels.package_root(tmp_path / "p" / "q" / "x_kernels.py", "p.q.x_kernels") == tmp_path / "p"
    assert kernels.package_root(tmp_path / "p" / "x_kernels.py", "p.x_kernels") == tmp_path / "p"
    assert kernels.package_root(tmp_path / "x_kernels.py", "x_kernels") == tmp_path


DOT = """
import sys
from types import ModuleType
import numba, numpy as np
from wattwright.core.kernels import kernel
from wattwright.tariff import kernels as any_kernels
assert "numba.np.arraymath" in sys.modules
asked_before = "scipy.linalg" in sys.modules
product = numba.njit(lambda a, b: np.dot(a, b))(np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([[5.0, 6.0], [7.0, 8.0]]))
print(asked_before, product.tolist())
"""


def test_start_reads_no_linear_algebra_and_a_product_of_matrices_still_compiles(root):
    """A kernel is at hand without scipy's linear algebra; (1 2; 3 4)(5 6; 7 8) = (19 22; 43 50) by hand all the same."""
    environment = {**os.environ, "PYTHONPATH": str(root / "src")}
    environment.pop("NUMBA_DISABLE_JIT", None)
    done = subprocess.run([sys.executable, "-c", DOT], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False [[19.0, 22.0], [43.0, 50.0]]"


@pytest.fixture
def parts(monkeypatch):
    """Two modules that stand for numba's, compiling switched on, and nothing of it read yet."""
    linear, array = ModuleType("linear"), ModuleType("array")
    linear.ensure_blas = "the question"
    found = {"numba.np.linalg": linear, "numba.np.arraymath": array}
    monkeypatch.setattr(numba.config, "DISABLE_JIT", 0)
    monkeypatch.setattr(kernels.importlib, "import_module", found.__getitem__)
    monkeypatch.delitem(sys.modules, "numba.np.arraymath", raising=False)
    return found


def test_the_question_for_linear_algebra_is_put_back(parts):
    """After the array functions are read, both modules ask as before."""
    kernels._leave_linear_algebra_out.__wrapped__()
    assert parts["numba.np.linalg"].ensure_blas == parts["numba.np.arraymath"].ensure_blas == "the question"


def test_the_question_is_put_back_when_reading_fails(parts):
    """An import that fails leaves nothing changed behind."""
    del parts["numba.np.arraymath"]
    with pytest.raises(KeyError):
        kernels._leave_linear_algebra_out.__wrapped__()
    assert parts["numba.np.linalg"].ensure_blas == "the question"


def test_another_numba_without_the_question_is_left_alone(parts):
    """Where the compiler asks in another way, nothing is touched."""
    del parts["numba.np.linalg"].ensure_blas
    kernels._leave_linear_algebra_out.__wrapped__()
    assert not hasattr(parts["numba.np.arraymath"], "ensure_blas")
