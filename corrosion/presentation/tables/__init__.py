"""Every table once: heading, cell, unit, kind and where it is shown.

Pages, terminal, report and CSV draw from the same tables, so that they print the same
digits under the same headings.
"""
