"""Every public name is documented, and what is documented is what is there."""

import ast
import re

import pytest

FUNCTION = ast.FunctionDef | ast.AsyncFunctionDef
ENTRY = re.compile(r"(?P<names>\*{0,2}\w+(?:, \*{0,2}\w+)*)(?: \([^)]*\))?:(?: |$)")


def public(tree, prefix=""):
    """Yield (qualified name, node) of the public classes, functions and methods; nested functions are private."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef | FUNCTION) and not node.name.startswith("_"):
            yield prefix + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public(node, f"{prefix}{node.name}.")


def is_overload(node) -> bool:
    """True for a typing.overload signature, which is documented on the function it belongs to."""
    return any(ast.unparse(decorator).endswith("overload") for decorator in getattr(node, "decorator_list", ()))


def documented_arguments(docstring: str) -> list[str] | None:
    """Names in the section "Args:", in order; None without such a section."""
    _, heading, rest = docstring.partition("\nArgs:\n")
    if not heading:
        return None
    section = re.match(r"(?:(?:[ ]+.*)?(?:\n|$))*", rest)[0].splitlines()
    indent = min(len(line) - len(line.lstrip()) for line in section if line.strip())
    entries = [found for line in section if (found := ENTRY.match(line, indent))]
    return [name.lstrip("*") for entry in entries for name in entry["names"].split(", ")]


def arguments(function) -> list[str]:
    """Names of the signature in order, without self and cls."""
    given = function.args
    every = [*given.posonlyargs, *given.args, given.vararg, *given.kwonlyargs, given.kwarg]
    return [argument.arg for argument in every if argument and argument.arg not in ("self", "cls")]


def test_every_public_name_has_a_docstring(package) -> None:
    """Modules, classes, functions and methods without a leading underscore say what they are."""
    bare = [module.name for module in package if not ast.get_docstring(module.tree)]
    bare += [
        f"{module.name}:{node.lineno} {name}"
        for module in package
        for name, node in public(module.tree)
        if not ast.get_docstring(node) and not is_overload(node)
    ]
    assert bare == []


def test_documented_arguments_are_the_real_ones(package) -> None:
    """Where a docstring has a section "Args:", it names all arguments of the signature, in their order."""
    wrong = {
        f"{module.name}:{node.lineno} {name}": (documented, arguments(node))
        for module in package
        for name, node in public(module.tree)
        if isinstance(node, FUNCTION)
        and (documented := documented_arguments(ast.get_docstring(node) or "")) is not None
        and documented != arguments(node)
    }
    assert wrong == {}


@pytest.mark.parametrize(
    ("docstring", "names"),
    [
        ("One line.", None),
        (
            "One line.\n\nArgs:\n    power_w: mean power\n        in W: per interval\n    step_s (int): step\n",
            ["power_w", "step_s"],
        ),
        (
            "One line.\n\nArgs:\n    start, end: both in s\n    **options:\n        any\n\nReturns:\n    total: kWh",
            ["start", "end", "options"],
        ),
    ],
)
def test_section_is_read_as_written(docstring: str, names: list[str] | None) -> None:
    """The reader of the section knows continued lines, types in brackets, shared entries and where the section ends."""
    assert documented_arguments(docstring) == names


def test_every_test_says_what_must_hold(tests) -> None:
    """Each test function has a docstring."""
    bare = [
        f"{module.name}:{function.lineno} {function.name}"
        for module in tests
        for function in module.functions()
        if function.name.startswith("test_") and not ast.get_docstring(function)
    ]
    assert bare == []
