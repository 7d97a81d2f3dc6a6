"""What must and what must not be in the text of a page, as the tests of the Python package
`trafilatura` 1.0.0 say: a JSON array of {file, address, present, absent}.

Its test file is read as a tree, never run: it is a list of `result = load_mock_page(ADDRESS, ...)`, each
followed by `assert 'PHRASE' in result and 'PHRASE' not in result`.
"""

import ast
import json
import sys

ROOT = "python_packages/trafilatura-1.0.0/tests"


def address_of(statement):
    """The address that a statement loads a page by."""
    if isinstance(statement, ast.Assign) and isinstance(statement.value, ast.Call):
        called = statement.value
        if getattr(called.func, "id", None) == "load_mock_page" and called.args:
            return ast.literal_eval(called.args[0])
    return None


def comparisons(test):
    """The comparisons of an assertion whose parts must all hold."""
    if isinstance(test, ast.BoolOp) and isinstance(test.op, ast.And):
        for value in test.values:
            yield from comparisons(value)
    elif isinstance(test, ast.Compare) and len(test.ops) == 1:
        yield test


def statements(body):
    """The statements in order, with those that hold for plain text."""
    for statement in body:
        if isinstance(statement, ast.If):
            if ast.unparse(statement.test) == "xmloutput is False":
                yield from statements(statement.body)
        else:
            yield statement


def main():
    tree = ast.parse(open(f"{ROOT}/realworld_tests.py", encoding="utf-8").read())
    files = {}
    for statement in tree.body:
        if isinstance(statement, ast.Assign) and statement.targets[0].id == "MOCK_PAGES":
            files = ast.literal_eval(statement.value)
    pages = {}
    for function in (node for node in tree.body if isinstance(node, ast.FunctionDef)):
        page = None
        for statement in statements(function.body):
            address = address_of(statement)
            if address in files:
                page = pages.setdefault(
                    address,
                    {"file": files[address], "address": address, "present": [], "absent": []},
                )
            if page is None or not isinstance(statement, ast.Assert):
                continue
            for compared in comparisons(statement.test):
                if not (
                    isinstance(compared.left, ast.Constant)
                    and isinstance(compared.left.value, str)
                    and ast.unparse(compared.comparators[0]) == "result"
                ):
                    continue
                kind = "present" if isinstance(compared.ops[0], ast.In) else "absent"
                page[kind].append(compared.left.value)
    json.dump([page for page in pages.values() if page["present"]], sys.stdout)


if __name__ == "__main__":
    main()
