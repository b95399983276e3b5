"""What has it cost? Steel by zone, year and cause; one zone over the years."""

import streamlit as st

from corrosion.foundation.data_files import text_beside
from corrosion.presentation.answers import history
from corrosion.presentation.dashboard import cached, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.figures.loss_bars import loss_by_year, loss_by_zone
from corrosion.presentation.format import interval
from corrosion.presentation.sentences import ceiling_sentence, lost_sentence
from corrosion.presentation.tables.zones import totals
from corrosion.results import Estimate

_PARTS = ("By zone", "By year", "Ceiling and estimate")
_SHOWN = 12


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show the steel lost by zone, year and cause."""
    result = page_parts.estimate(chosen)
    page_parts.say(lost_sentence(result, page_parts.units()))
    ceiling = ceiling_sentence(result, page_parts.units())
    page_parts.ahead(ceiling)
    part = page_parts.section(_PARTS, "cost")
    if part == _PARTS[0]:
        _zones(result)
    elif part == _PARTS[1]:
        lost = cached.loss_by_year(chosen.key, result)
        figure = loss_by_year(lost, page_parts.units())
        page_parts.chart(figure, lost, "steel lost by year")
    else:
        st.markdown(text_beside(__file__, "ceiling.md"))
        share = interval(result.totals, "water_share", "%")
        st.markdown(
            f"On this ship **{share}** of the faults' charge crossed the water."
        )
        page_parts.table(totals(result, page_parts.units()))


def _zones(result: Estimate) -> None:
    lost = history.loss_by_zone(result)
    st.markdown(
        f"The {min(_SHOWN, len(lost))} zones that lost most to stray current: by "
        "faults, and by the couple with the shore earth, which stands apart."
    )
    natural = st.toggle(
        "Show her own metals and natural loss too", key="natural", bind="query-params"
    )
    causes = ("stray", "shore couple", *("own metals", "natural") * natural)
    page_parts.chart(
        loss_by_zone(lost.head(_SHOWN), causes, page_parts.units(), page_parts.width()),
        lost,
        "steel lost by zone",
    )
