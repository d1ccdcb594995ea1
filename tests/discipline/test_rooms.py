"""A room's folder says what the room is for, and costs nothing to enter."""

import ast


def rooms(package):
    """The folders of the package, by their ``__init__`` module; the top one is not a room."""
    return [module for module in package if module.name.endswith("/__init__.py") and module.name.count("/") > 2]


def test_rooms_are_found(package) -> None:
    """The rooms that every other room stands on or is shown by are there, so the tests below look at something."""
    names = {module.name.split("/")[2] for module in rooms(package)}
    assert {"core", "record", "demand", "job", "cli"} <= names


def test_room_runs_nothing_on_import(package) -> None:
    """A room's ``__init__`` holds its docstring alone, so importing one module never loads its neighbours."""
    busy = [module.name for module in rooms(package) if len(module.tree.body) != 1]
    assert busy == []


def test_room_says_what_it_is_for(package) -> None:
    """A room's docstring is a sentence: three words or more, closed by a full stop."""
    docstrings = {module.name: ast.get_docstring(module.tree) or "" for module in rooms(package)}
    assert [name for name, text in docstrings.items() if len(text.split()) < 3 or not text.endswith(".")] == []


def test_pvlib_comes_through_one_door(package) -> None:
    """Only the room of the sky imports pvlib; the checks ask it where its weather files lie, and for nothing else."""
    asks = {}
    for module in package:
        for node in ast.walk(module.tree):
            named = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            named += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if any(name.partition(".")[0] == "pvlib" for name in named):
                asks.setdefault(module.name.split("/")[2], set()).update(named)
    assert asks.pop("checks") == {"pvlib"}
    assert set(asks) == {"sky"}
