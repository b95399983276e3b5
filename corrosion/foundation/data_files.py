"""Tables and words that lie beside the module which reads them."""

import csv
import tomllib
from pathlib import Path
from typing import Any


def text_beside(module_file: str, name: str) -> str:
    """Return the text of a file beside a module; its ``__file__`` is given."""
    return (Path(module_file).parent / name).read_text(encoding="utf-8")


def csv_rows(module_file: str, name: str) -> list[dict[str, str]]:
    """Return the rows of a CSV file beside a module, cells by heading.

    ``module_file``: the module's ``__file__``.
    """
    return list(csv.DictReader(text_beside(module_file, name).splitlines()))


def toml_tables(module_file: str, name: str) -> dict[str, Any]:
    """Return what a TOML file beside a module holds; its ``__file__`` is given."""
    return tomllib.loads(text_beside(module_file, name))


def sentences(module_file: str, name: str) -> dict[str, str]:
    """Return the sentences of a TOML file beside a module, each as one line."""
    tables = toml_tables(module_file, name)
    return {key: text.replace("\n", " ") for key, text in tables.items()}
