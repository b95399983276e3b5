"""Results that take a while, kept in the user's cache directory.

A kept file is named after all that it depends on, is written beside its place and
renamed into it, and is never trusted: one that does not read is written anew. Without
a writable directory everything is computed again, and nothing is said.
"""

import hashlib
import os
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import numpy as np
from platformdirs import user_cache_dir

from corrosion.foundation.types import Array

__all__ = ["cache_directory", "remembered"]


def cache_directory() -> Path:
    """Return where results are kept.

    Returns
    -------
    Path
        What the environment variable CORROSION_CACHE says, else the user's own cache
        directory; it may not exist yet.
    """
    return Path(os.environ.get("CORROSION_CACHE") or user_cache_dir("corrosion"))


def remembered(
    key: object, compute: Callable[[], dict[str, Array]]
) -> dict[str, Array]:
    """Return the arrays that belong to a key, computed only if not yet kept.

    Parameters
    ----------
    key : object
        All that the result depends on; its ``repr`` is what counts.
    compute : callable
        Computes the arrays by name.

    Returns
    -------
    dict of str to ndarray
        The arrays, kept or fresh.
    """
    name = hashlib.sha256(repr(key).encode()).hexdigest()
    path = cache_directory() / f"{name}.npz"
    with (
        suppress(OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile),
        path.open("rb") as file,
        np.load(file, allow_pickle=False) as kept,
    ):
        return {entry: kept[entry] for entry in kept.files}
    arrays = compute()
    with suppress(OSError):
        _keep(path, arrays)
    return arrays


def _keep(path: Path, arrays: dict[str, Array]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            np.savez(file, allow_pickle=False, **arrays)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
