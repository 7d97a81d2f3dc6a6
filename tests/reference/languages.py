"""Reads the sample sentences of the Python library `spacy`, which its wheel has for some 70 languages.

Standard output is JSON: an object of the sentences by the language's ISO 639 code. Nothing of the library
is run.
"""

import ast
import json
import pathlib
import sys
import zipfile

HERE = pathlib.Path(__file__).parent / "python_packages"


def main():
    samples = {}
    with zipfile.ZipFile(next(HERE.glob("spacy-*.whl"))) as wheel:
        for name in wheel.namelist():
            parts = name.split("/")
            if parts[:2] != ["spacy", "lang"] or parts[-1] != "examples.py":
                continue
            for statement in ast.parse(wheel.read(name).decode()).body:
                if isinstance(statement, ast.Assign) and statement.targets[0].id == "sentences":
                    samples[parts[2]] = ast.literal_eval(statement.value)
    json.dump(samples, sys.stdout)


main()
