"""``python -m corrosion`` and the installed command: quiet at Ctrl-C from the start.

An interrupt ends the process at once, with 130 and without a word, also while the long
imports run. Files are written whole or not at all, so that none is left half.
"""

import gc
import os
import signal
import sys
from typing import Any

INTERRUPTED = 130
"""Exit code after Ctrl-C."""

_SETTINGS = {
    "OPENBLAS_NUM_THREADS": "1",  # its threads end before every child, and begin again
    "NUMPY_MADVISE_HUGEPAGE": "0",  # a page of 2 MiB is cleared for an array of 4
}  # of numpy, which reads them as it is loaded


def _stop(*_: Any) -> None:
    processes = sys.modules.get("multiprocessing")
    for child in processes.active_children() if processes else ():
        child.kill()
    if os.isatty(2):
        os.write(2, b"\n")  # the shell's prompt begins a line of its own
    os._exit(INTERRUPTED)


signal.signal(signal.SIGINT, _stop)


def main() -> None:
    """Run the command line."""
    for name, value in _SETTINGS.items():
        os.environ.setdefault(name, value)
    from corrosion.foundation.parallel import allow_children  # noqa: PLC0415 - after the handler
    from corrosion.presentation.terminal.cli import main as run  # noqa: PLC0415 - likewise

    allow_children()
    try:
        run()
    finally:
        # of a command that needed nothing kept the module is not there
        if cache := sys.modules.get("corrosion.foundation.cache"):
            cache.await_all()
        gc.freeze()  # what is left goes with the process, and not one by one
        # all is done: while the interpreter clears up, nothing is left to stop
        if hasattr(signal, "pthread_sigmask"):
            signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})


if __name__ == "__main__":
    main()
