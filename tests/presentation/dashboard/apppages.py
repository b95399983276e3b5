"""Run one page of the dashboard without a browser."""

from functools import cache
from typing import Final
from unittest.mock import patch

from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest

SAMPLES: Final = 32
PAGES: Final = (
    *("bridge", "plan", "zone", "ship"),
    *("leakage", "hunt", "isolation", "rounds"),
    "ranking",
    "loss",
    "gauging",
    "currents",
    "log",
    "sources",
)


_SCANNED: Final = cache(manifest_scanner.scan_component_manifests)
"""Each page would look through all installed libraries for components: once will do."""


def page(name: str) -> None:
    """Draw a page, as the server would."""
    import importlib  # noqa: PLC0415 - the source of this function alone is run

    import streamlit  # noqa: PLC0415 - likewise

    from corrosion.presentation.dashboard.masthead import draw_masthead  # noqa: PLC0415 - likewise

    with streamlit.sidebar:  # apart from what the page itself draws
        masthead = draw_masthead()
    importlib.import_module(f"corrosion.presentation.dashboard.{name}_page").render(
        masthead
    )


def shown(name: str, **address: str) -> AppTest:
    """Return a page as drawn for what stands in its address."""
    test = AppTest.from_function(page, kwargs={"name": name}, default_timeout=120)
    for key, value in (
        {"samples": str(SAMPLES), "as_of": "2026-11-25"} | address
    ).items():
        test.query_params[key] = value
    with patch.object(manifest_scanner, "scan_component_manifests", _SCANNED):
        return test.run()


def said(test: AppTest) -> str:
    """Return all that a page says in words, without the signs that guard markdown."""
    parts = [*test.title, *test.subheader, *test.markdown, *test.caption, *test.info]
    parts += [*test.error, *test.warning, *test.success, *test.get("html")]
    return "\n".join(
        str(getattr(part, "value", "") or part.proto.body) for part in parts
    ).replace("\\", "")
