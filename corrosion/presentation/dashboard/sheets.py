"""Sheets for paper: an A4 page with a head, cautions and a table with boxes."""

from collections.abc import Iterable, Sequence

from corrosion.presentation.dashboard.pictures import escape


def box(count: int = 1) -> str:
    """Return empty boxes to write into."""
    return f'<span class="boxes">{"<i></i>" * count}</span>'


def line() -> str:
    """Return a line to write on."""
    return "______________________"


def paper(
    title: str,
    words: str,
    tables: Iterable[tuple[Sequence[str], Iterable[Sequence[str]]]],
    cautions: Iterable[str] = (),
) -> str:
    """Return one A4 page, hidden until it is printed.

    Parameters
    ----------
    title : str
        Its head.
    words : str
        A paragraph beneath it, as HTML.
    tables : iterable of tuple
        Heads in plain words, and rows of cells as HTML.
    cautions : iterable of str
        What can hurt, in plain words, before everything else.
    """
    bold = escape(" ".join(dict.fromkeys(cautions)))
    drawn = "".join(_table(heads, rows) for heads, rows in tables)
    return (
        f'<div class="sheet"><section class="page"><h2>{escape(title)}</h2>'
        f"<p><b>{bold}</b></p><p>{words}</p>{drawn}</section></div>"
    )


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    top = "".join(f"<th>{escape(head)}</th>" for head in heads)
    body = "".join(
        f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows
    )
    return f"<table><tr>{top}</tr>{body}</table>"
