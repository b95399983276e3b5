"""The report: one self-contained HTML file, and a CSV of every table in it."""

from typing import Any

from corrosion.presentation.report.contents import Contents, gather
from corrosion.presentation.report.page import report_html
from corrosion.presentation.units import UnitSystem
from corrosion.results import Estimate

__all__ = ["Contents", "gather", "report_html", "whole_report"]


def whole_report(result: Estimate, units: UnitSystem, **asked: Any) -> bytes:
    """Return the report's file; ``asked``: as :func:`gather` takes it."""
    return report_html(gather(result, **asked), units).encode()
