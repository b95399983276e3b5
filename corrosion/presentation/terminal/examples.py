"""The end of every command's help: two examples, and what the exit codes mean."""

from typing import Final

from corrosion.foundation.data_files import text_beside

EXAMPLES: Final = tuple(text_beside(__file__, "examples.txt").splitlines())
"""Ways to give the commands, two of each, as lines that begin with its name."""
_CODES: Final = (
    "Exit codes: 0 done; 1 the records have problems, or the output cannot be taken; "
    "2 the command was used wrongly; 130 stopped by Ctrl-C."
)


def epilog(name: str) -> str:
    """Return the end of a command's help; nothing of a command without examples."""
    mine = [one for one in EXAMPLES if one.partition(" ")[0] == name]
    lines = "\n".join(f"  corrosion {one}" for one in mine)
    return f"\b\nExamples:\n{lines}\n\n{_CODES}" if mine else _CODES
