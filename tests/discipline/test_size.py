"""Modules and functions stay small enough to be read in one go."""

MODULE_LINES = 500
FUNCTION_LINES = 60


def test_no_module_is_long(package) -> None:
    """No module has more than 500 lines."""
    long = {module.name: lines for module in package if (lines := len(module.text.splitlines())) > MODULE_LINES}
    assert long == {}


def test_no_function_is_long(package) -> None:
    """No function, its docstring included, has more than 60 lines."""
    long = {
        f"{module.name}:{function.lineno} {function.name}": lines
        for module in package
        for function in module.functions()
        if (lines := function.end_lineno - function.lineno + 1) > FUNCTION_LINES
    }
    assert long == {}
