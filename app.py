"""The dashboard's door: which pages there are, and in which order."""

import streamlit as st

from corrosion.views import first

st.set_page_config(page_title="Hull steel loss", layout="wide")
st.navigation(
    [
        st.Page(
            first.render, title="Where do I look first?", url_path="first", default=True
        )
    ],
    expanded=True,
).run()
