"""The dashboard's door: which pages there are, in which order, and their look."""

from functools import partial

import streamlit as st

from corrosion.presentation.dashboard import (
    bridge_page,
    currents_page,
    fleet_page,
    gauging_page,
    hunt_page,
    isolation_page,
    leakage_page,
    links,
    log_page,
    loss_page,
    plan_page,
    ranking_page,
    rounds_page,
    ship_page,
    sources_page,
    zone_page,
)
from corrosion.presentation.dashboard.chosen_ship import found_ships
from corrosion.presentation.dashboard.components import follow_screen
from corrosion.presentation.dashboard.look import apply_look
from corrosion.presentation.dashboard.masthead import draw_masthead
from corrosion.presentation.dashboard.phone_gate import for_phones

_PAGES = {
    "": (
        (bridge_page.render, "bridge", "Bridge"),
        (plan_page.render, "plan", "Gauging plan"),
        (leakage_page.render, "leakage", "Bench"),
        (hunt_page.render, "hunt", "Hunt"),
        (isolation_page.render, "isolation", "Case for isolation"),
        (zone_page.render, "zone", "Zone"),
        (log_page.render, "log", "Log"),
        (rounds_page.render, "rounds", "Rounds and hook-up"),
        (ship_page.render, "ship", "Ship"),
    ),
    "More": (
        (ranking_page.render, "ranking", "All zones"),
        (gauging_page.render, "gauging", "Gaugings against the estimate"),
        (loss_page.render, "loss", "What has it cost?"),
        (currents_page.render, "currents", "Where the current goes"),
        (sources_page.render, "sources", "Where the numbers come from"),
        *((fleet_page.render, "fleet", "All ships"),) * (len(found_ships()) > 1),
    ),
}

_FOR_PHONES = {
    "": (
        (hunt_page.render, "hunt", "Hunt"),
        (log_page.render, "log", "Log"),
    )
}

offered = _FOR_PHONES if for_phones() else _PAGES
st.set_page_config(page_title="Hull steel loss", layout="wide")
apply_look()
masthead = draw_masthead()
pages = {
    address: st.Page(
        partial(render, masthead),
        title=title,
        url_path=address,
    )
    for group in offered.values()
    for render, address, title in group
}
links.remember(pages)
# What opens without an address has none of its own, so the first page stands twice.
first, _, title = offered[""][0]
opening = st.Page(
    partial(first, masthead),
    title=title,
    url_path="opening",
    default=True,
    visibility="hidden",
)
groups = {name: [pages[row[1]] for row in group] for name, group in offered.items()}
groups[""].insert(0, opening)
chosen = st.navigation(groups, position="top")
follow_screen()  # what it tells before there are pages would open the first one
links.thumb_bar({address: page.title for address, page in pages.items()})
chosen.run()
