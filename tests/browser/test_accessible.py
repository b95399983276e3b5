"""Every page in both themes, on a desk and a telephone: axe-core, contrast, reach.

A page is drawn once and looked at in both widths and themes: it follows either. Every
second page is looked at in light on a desk and in dark on a telephone, those between
the other way about; with ``CORROSION_LONG=1`` every page in all four. Pages are chosen
in the menu and their parts on the page: to load takes twice as long as all looks.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Browser

from browser.driven import ASKED, LONG, PAGES, Server, Watched, with_chromium

axe = pytest.importorskip(
    "axe_playwright_python", reason="axe-core comes with axe-playwright-python"
)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

_AXE: Final = (Path(axe.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
_RUN: Final = """(rules) => axe.run(
  {exclude: ['[data-testid=stFileUploaderDropzone]']},
  {resultTypes: ['violations'], ...(rules && {runOnly: rules})})"""
"""Streamlit's own: its dropzone is a section of role presentation that has a name."""

_COLOURS: Final = ["color-contrast", "link-in-text-block"]
"""Rules of axe-core that another theme can break: names and roles stay."""

_SHIP: Final = f"ship=saltmarsh&{ASKED}"
_PARTS: Final = {
    "Gauging plan": ("Type readings in",),
    "Rounds and hook-up": ("Shore hook-up", "Insulation", "Docking list"),
    "Log": ("Timeline", "Import", "Isolated or cleared"),
}
"""Parts of another kind that pages have."""

_STREAMLITS_OWN: Final = "[data-testid=stMultiSelect]"
"""Below 40 px and beyond our styles: the cross on a tag; Backspace does the same."""

_DESK: Final = (1280, 720)
_TELEPHONE: Final = (390, 844)
_CONTRASTS: Final = (Path(__file__).parent / "contrasts.js").read_text(encoding="utf-8")
"""Words drawn in figures, which axe-core does not read."""

_SMALL: Final = """(except) => [...document.querySelectorAll(
  '.stApp :is(a, button, input, [role=checkbox], [role=tab], summary)')].filter((e) => {
  const s = getComputedStyle(e), own = e.getBoundingClientRect();
  if (s.visibility === 'hidden' || own.width < 2 || own.height < 2) return false;
  if (own.right < 0 || e.closest(except)) return false;
  let box = own;
  const field = e.tagName === 'INPUT' && (e.closest('label')
    || e.closest('[data-testid$=Container], [data-testid$=Element], [data-baseweb]'));
  if (field) box = field.getBoundingClientRect();
  const all = e.closest('[data-testid=stSelectbox]');
  if (all) box = all.getBoundingClientRect();
  return box.height < 39.5 || box.width < 39.5;
}).map((e) => `${e.tagName} ${e.closest('[data-testid]')?.dataset.testid} ` +
  `${(e.getAttribute('aria-label') || e.innerText || '').slice(0, 40)}`)"""


def looked_at(one: Watched, size: tuple[int, int], *, dark: bool) -> list[str]:
    """Return what is wrong on the page as it stands at one width."""
    page = one.page
    if size == _TELEPHONE and page.locator("[data-testid=stDataFrame]").count():
        return ["a grid that scrolls sideways stands on a telephone"]
    found: dict[str, Any] = page.evaluate(_RUN, _COLOURS if dark else None)
    wrong = [
        f"{broken['id']}: {node['target']} {node['html'][:120]}"
        for broken in found["violations"]
        for node in broken["nodes"]
    ]
    if page.evaluate("document.querySelector('.stMain').scrollWidth > innerWidth"):
        wrong.append("it scrolls sideways")
    page.evaluate("document.querySelector('.stMain').scrollTop = 0")
    box = page.locator("h1").first.bounding_box()
    if box is None or box["y"] < 0.0 or box["y"] + box["height"] > size[1]:
        wrong.append("its answer is not seen without scrolling")
    if page.locator("[role=dialog]").count():
        wrong.append("a dialog stands before it")
    if size == _TELEPHONE:
        return [*wrong, *page.evaluate(_SMALL, _STREAMLITS_OWN)]
    drawn: dict[str, Any] = page.evaluate(_CONTRASTS)
    if drawn["looked_at"] <= 10:
        wrong.append("hardly a word is drawn as text")
    if not (drawn["ground"] < 0.2 if dark else drawn["ground"] > 0.8):
        wrong.append("its ground is not the theme's")
    return [*wrong, *drawn["faint"], *drawn["nameless"]]


_LOOKED_AT: Final = [
    (title, part) for title in PAGES for part in ("", *_PARTS.get(title, ()))
]
_MOST_MIB: Final = 360.0  # of server and helper, an estimate of 64 samples; found: 304
_LOOKS: Final = ((True, _TELEPHONE), (False, _DESK), (False, _TELEPHONE), (True, _DESK))
"""Dark or not, and the size of the screen: it ends wide, where the menu is open."""


@pytest.fixture(scope="module")
def kept(browser: Browser, dashboard: Server) -> Iterator[Watched]:
    """Return one page for all addresses."""
    one = Watched(browser, dashboard.port)
    yield one
    one.closed()


@with_chromium
@pytest.mark.parametrize(
    ("title", "part"), _LOOKED_AT, ids=["/".join(filter(None, x)) for x in _LOOKED_AT]
)
def test_a_page_is_legible_named_and_within_reach(
    kept: Watched, dashboard: Server, title: str, part: str
) -> None:
    first = 2 * (_LOOKED_AT.index((title, part)) % 2)
    looks = _LOOKS if LONG else _LOOKS[first : first + 2]
    one, wrong = kept, []
    if not one.page.url.startswith(one.home):
        one.look(_DESK, dark=looks[0][0])
        one.open(f"{PAGES[title]}?{_SHIP}")
        one.page.evaluate(_AXE)
    one.turn(_DESK, dark=one.dark)
    if not one.at(title):
        one.go(title)
    if part:
        with one.drawing():
            one.page.get_by_role("radio", name=part, exact=True).click()
    for dark, size in looks:
        one.turn(size, dark=dark)
        for _ in range(3):  # a busy machine may still be drawing: what stays counts
            found = looked_at(one, size, dark=dark)
            if not found:
                break
            one.page.wait_for_timeout(500)
        theme = "dark" if dark else "light"
        wrong += [f"{theme}, {size[0]} px: {text}" for text in found]
    assert "\n".join([*wrong, *one.errors, *one.outside]) == ""
    if sys.platform == "linux":
        assert dashboard.resident_mib() < _MOST_MIB
