"""The dashboard in a real browser: the three users' stories, on copies of the demos."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from browser.driven import ASKED, PATIENCE, Server, Watched, with_chromium
from corrosion.records.folder.save_table import read_table

SALTMARSH = f"?ship=saltmarsh&{ASKED}"
LOG_OF_TODAY = "log?ship=saltmarsh&samples=64"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


def test_it_listens_on_this_machine_only(server: Server) -> None:
    table = Path("/proc/net/tcp")
    if not table.exists():
        pytest.skip("this system does not list its sockets in /proc")
    rows = [row.split() for row in table.read_text(encoding="ascii").splitlines()[1:]]
    listening = {row[1] for row in rows if row[3] == "0A"}
    ours = {at for at in listening if int(at.split(":")[1], 16) == server.port}
    assert {at.split(":")[0] for at in ours} == {"0100007F"}
    six = Path("/proc/net/tcp6")
    if six.exists():
        assert f":{server.port:04X} " not in six.read_text(encoding="ascii")


@with_chromium
def test_a_zone_is_chosen_by_clicking_it_on_the_hull(watched: Watched) -> None:
    watched.open(f"ranking{SALTMARSH}")
    assert watched.page.get_by_text("chance to be below its limit").first.is_visible()
    label = watched.page.locator(".js-plotly-plot").get_by_text("E1-S-BOT").first
    label.wait_for(timeout=PATIENCE)
    label.scroll_into_view_if_needed()
    watched.settle()  # a figure drawn again would move what is pointed at
    box = label.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    hovered = watched.page.locator(".js-plotly-plot .hoverlayer .hovertext")
    watched.page.mouse.move(x + 30, y + 30)
    watched.page.mouse.move(x, y)
    pointed = hovered.filter(has_text="E1-S-BOT")
    pointed.first.wait_for(timeout=PATIENCE)  # the figure knows what is pointed at
    watched.page.mouse.click(x, y)
    watched.page.wait_for_url("**zone=E1-S-BOT*", timeout=PATIENCE)
    said = watched.page.get_by_role("paragraph").filter(has_text="E1-S-BOT")
    said.first.wait_for(timeout=PATIENCE)


@with_chromium
def test_a_fault_is_recorded_and_cleared(watched: Watched, folder: Path) -> None:
    watched.open(LOG_OF_TODAY)
    fault_id = watched.page.get_by_label("Fault id")
    expect(fault_id).not_to_have_value("", timeout=PATIENCE)
    fault = fault_id.input_value()
    watched.page.get_by_label("Remark").fill("lamp out, wet socket")
    watched.page.get_by_role("button", name="Add to the log").click()
    watched.page.get_by_text("is in the log").wait_for(timeout=PATIENCE)
    rows, _ = read_table(folder, "faults")
    assert rows[-1]["fault"] == fault
    assert rows[-1]["remark"] == "lamp out, wet socket"
    watched.settle()
    with watched.drawing():
        watched.page.get_by_text("Isolated or cleared", exact=True).click()
    choice = watched.page.get_by_label("Fault that was isolated or cleared")
    choice.click()
    choice.fill(fault)
    watched.page.get_by_role("option").filter(has_text=fault).click()
    watched.page.keyboard.press("Tab")
    watched.page.get_by_text("cleared: repaired, tested, energised again").click()
    watched.page.get_by_role("button", name="Save", exact=True).click()
    watched.page.get_by_text(f"Fault {fault} was cleared").wait_for(timeout=PATIENCE)
    rows, _ = read_table(folder, "faults")
    assert rows[-1]["cleared"]
    assert list((folder / "kept").glob("*.json"))


@with_chromium
def test_ships_are_ranked_and_the_chosen_one_stays_from_page_to_page(
    watched: Watched,
) -> None:
    watched.open(f"?{ASKED}")
    page = watched.page
    watched.go("All ships")
    page.get_by_role("button", name="Estimate all ships").click()
    page.get_by_text("zones of all ships are due now").wait_for(timeout=PATIENCE)
    watched.settle()
    page.get_by_label("Ship to look at").click()
    page.get_by_role("option").filter(has_text="saltmarsh").click()
    page.get_by_role("button", name="Choose her for every page").click()
    page.wait_for_url("**ship=saltmarsh*", timeout=PATIENCE)
    for title in ("Log", "Where the numbers come from"):
        watched.go(title)
        asked = (*ASKED.split("&"), "ship=saltmarsh")
        missing = [one for one in asked if one not in page.url]
        assert missing == [], page.url
        assert page.get_by_text("Saltmarsh as of 2026-11-25").is_visible()


def focus(page: Page) -> str:
    """Return the name of the control that the keyboard would act on."""
    said: str = page.evaluate(
        "() => { const e = document.activeElement; return e.matches('main') ? '' :"
        " e.getAttribute('aria-label') || e.innerText || ''; }"
    )
    return said.strip()


def tabbed_to(page: Page, wanted: str) -> None:
    """Press Tab until something of that name has the focus."""
    seen = []
    for _ in range(60):
        page.keyboard.press("Tab")
        seen.append(focus(page))
        if seen[-1].endswith(wanted):
            return
    pytest.fail(f"Tab never came to {wanted!r}, but to {seen}")


@with_chromium
def test_the_keyboard_alone_is_enough(watched: Watched) -> None:
    watched.open(f"?{ASKED}")
    page = watched.page
    tabbed_to(page, "Gauging plan")
    seen = page.evaluate(
        "() => { const s = getComputedStyle(document.activeElement);"
        " return s.outlineStyle + ' ' + s.boxShadow; }"
    )
    assert seen != "none none", "who tabs must see where the focus is"
    with watched.drawing():
        page.keyboard.press("Enter")
        watched.arrived("Gauging plan")
    tabbed_to(page, "grey-plover, 2026-11-25\n\nexpand_more")
    page.keyboard.press("Enter")
    tabbed_to(page, "Ship")
    page.keyboard.type("salt")
    page.keyboard.press("Enter")
    page.wait_for_url("**ship=saltmarsh*", timeout=PATIENCE)
    watched.settle()
    page.keyboard.press("Escape")
    tabbed_to(page, "Choose the best")
    page.keyboard.press("Enter")
    page.get_by_text("Gauge").first.wait_for(timeout=PATIENCE)


@with_chromium
def test_two_tabs_lose_nothing_of_each_other(
    browser: Browser, server: Server, folder: Path
) -> None:
    before, _ = read_table(folder, "faults")
    tabs = [Watched(browser, server.port) for _ in range(2)]
    for tab in tabs:  # both stand on the form before either saves
        tab.open(LOG_OF_TODAY)
        expect(tab.page.get_by_label("Fault id")).not_to_have_value(
            "", timeout=PATIENCE
        )
    for number, tab in enumerate(tabs):
        tab.page.get_by_label("Remark").fill(f"from tab {number}")
        tab.page.get_by_role("button", name="Add to the log").click()
        if (
            number
        ):  # the id that both had been given is taken: told, nothing typed is lost
            tab.page.get_by_text("Nothing was saved").first.wait_for(timeout=PATIENCE)
            expect(tab.page.get_by_label("Remark")).to_have_value("from tab 1")
            tab.page.get_by_label("Fault id").fill("SM-900")
            tab.page.get_by_role("button", name="Add to the log").click()
        tab.page.get_by_text("is in the log").wait_for(timeout=PATIENCE)
    rows, _ = read_table(folder, "faults")
    assert [row["remark"] for row in rows[len(before) :]] == [
        "from tab 0",
        "from tab 1",
    ]
    assert len({row["fault"] for row in rows}) == len(rows)
    for tab in tabs:
        tab.closed()
