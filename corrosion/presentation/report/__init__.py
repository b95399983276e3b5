"""The report: one self-contained HTML file, and a CSV of every table in it."""

from corrosion.presentation.report.contents import Contents, gather
from corrosion.presentation.report.page import report_html

__all__ = ["Contents", "gather", "report_html"]
