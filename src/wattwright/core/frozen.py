"""Frozen results on disk: any frozen dataclass with numpy arrays and specs, written to bytes and read back equal.

One zip holds ``tree.json`` (the dataclass as plain data) and each array as ``.npy``; nothing in it can run code.
"""

import io
import json
import types
import zipfile
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

import cattrs
import numpy as np

from wattwright.core.errors import InputError, Place
from wattwright.core.fields import KEPT, Spec

Result = TypeVar("Result")
_MOMENT = (1980, 1, 1, 0, 0, 0)


def pack(result: object) -> bytes:
    """Return a frozen dataclass as bytes; the same result gives the same bytes."""
    arrays: list[np.ndarray[Any, Any]] = []
    tree = json.dumps(_converter(arrays).unstructure(result), sort_keys=True, ensure_ascii=False)
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        _put(archive, "tree.json", tree.encode())
        for index, array in enumerate(arrays):
            one = io.BytesIO()
            np.save(one, np.ascontiguousarray(array), allow_pickle=False)
            _put(archive, f"{index}.npy", one.getvalue())
    return held.getvalue()


def unpack(content: bytes, kind: type[Result]) -> Result:
    """Return the dataclass of type ``kind`` held in ``content``; raises InputError when it is damaged or another kind."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = [name for name in archive.namelist() if name.endswith(".npy")]
            arrays = [np.load(io.BytesIO(archive.read(f"{i}.npy")), allow_pickle=False) for i in range(len(names))]
            tree = json.loads(archive.read("tree.json"))
        return _converter(arrays).structure(tree, kind)
    except Exception as error:
        # zipfile, zlib, numpy and cattrs each fail in their own ways on damaged bytes; to a person it is one thing.
        raise InputError.one(
            "frozen.damaged",
            Place(),
            found="a stored result that cannot be read",
            wanted=f"a stored {kind.__name__}",
            next_step="It will be worked out again.",
        ) from error


def _put(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    archive.writestr(zipfile.ZipInfo(name, _MOMENT), content, zipfile.ZIP_DEFLATED, 1)


def _is_array(kind: Any) -> bool:
    return getattr(kind, "__origin__", kind) is np.ndarray


def _is_spec(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Spec)


def _converter(arrays: list[np.ndarray[Any, Any]]) -> cattrs.Converter:
    converter = cattrs.Converter(prefer_attrib_converters=False)

    def hold(array: np.ndarray[Any, Any]) -> dict[str, int]:
        arrays.append(array)
        return {"array": len(arrays) - 1}

    converter.register_unstructure_hook_func(_is_array, hold)
    converter.register_structure_hook_func(_is_array, lambda given, _: arrays[given["array"]])
    converter.register_unstructure_hook(Decimal, str)
    converter.register_structure_hook(Decimal, lambda given, _: Decimal(given))
    converter.register_unstructure_hook(date, date.isoformat)
    converter.register_structure_hook(date, lambda given, _: date.fromisoformat(given))
    converter.register_unstructure_hook_func(_is_spec, lambda given: given.model_dump(mode="json"))
    converter.register_structure_hook_func(_is_spec, lambda given, kind: kind.model_validate(given, context=KEPT))
    # Finding data are plain scalars: kept as they are.
    converter.register_structure_hook_func(lambda kind: kind is object, lambda given, _: given)
    converter.register_structure_hook_func(lambda kind: isinstance(kind, types.UnionType), _structure_union(converter))
    return converter


def _structure_union(converter: cattrs.Converter) -> Any:
    def structure(given: Any, kind: Any) -> Any:
        for option in kind.__args__:
            if option is type(None) and given is None:
                return None
            if option in (bool, int, float, str) and type(given) is option:
                return given
        rest = [o for o in kind.__args__ if o is not type(None) and o not in (bool, int, float, str)]
        if not rest and float in kind.__args__ and isinstance(given, int):
            return float(given)
        return converter.structure(given, rest[0])

    return structure
