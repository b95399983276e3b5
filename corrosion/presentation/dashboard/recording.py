"""A fault from a form into the log."""

from collections.abc import Mapping

from corrosion.presentation.dashboard import entries, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.records.folder.save_table import append_row


def record(chosen: Chosen, row: Mapping[str, str], *sent: str) -> None:
    """Add a fault to the log, and empty the forms that it came from."""

    def save() -> None:
        append_row(chosen.folder, "faults", row)
        for form in sent:
            entries.done(form)

    page_parts.attempt(save, f"Fault {row.get('fault', '')} is in the log.")
