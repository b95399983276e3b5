"""A reader of reports for tests: what a browser would see, and what it would load."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Final

EMPTY: Final = {"meta", "br", "hr", "img", "link", "input", "path", "rect", "circle"}
LOADING: Final = {"src", "href", "xlink:href", "data", "action", "srcset", "poster"}

Attributes = list[tuple[str, str | None]]


@dataclass
class Table:
    """One table: caption, rows of cells, and the kind of each cell."""

    caption: str = ""
    rows: list[list[str]] = field(default_factory=list)
    scopes: list[str] = field(default_factory=list)


class Page(HTMLParser):
    """A page, read; ``faults`` says where tags do not match."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.faults: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.tables: dict[str, Table] = {}
        self.feed(text)
        self.close()
        self.faults += [f"never closed: {tag}" for tag in self.open]

    def attributes(self, name: str) -> list[str]:
        """Return the values of an attribute wherever it stands."""
        return [has[name] for _, has in self.tags if name in has]

    def named(self, tag: str) -> list[dict[str, str]]:
        """Return the attributes of each tag of that name."""
        return [has for name, has in self.tags if name == tag]

    def handle_starttag(self, tag: str, attrs: Attributes) -> None:
        has = {name: value or "" for name, value in attrs}
        self.tags.append((tag, has))
        if tag not in EMPTY:
            self.open.append(tag)
        if tag == "table":
            self.tables[has["id"]] = Table()
        if tag == "tr":
            self._table.rows.append([])
        if tag in {"td", "th"}:
            self._table.rows[-1].append("")
        if tag == "th":
            self._table.scopes.append(has.get("scope", ""))

    def handle_startendtag(self, tag: str, attrs: Attributes) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.faults.append(f"{tag} closes {self.open[-1:]} at {self.getpos()}")
        else:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if "caption" in self.open:
            self._table.caption += data
        elif {"td", "th"} & set(self.open) and "svg" not in self.open:
            split = " | " if "small" in self.open else ""
            self._table.rows[-1][-1] += split + data.strip()

    @property
    def _table(self) -> Table:
        return list(self.tables.values())[-1]
