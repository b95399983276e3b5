"""What the crew write down: reading, checking and saving of a ship folder."""

from corrosion.records.folder import folder_digest, read_ship
from corrosion.records.template import write_example

__all__ = ["folder_digest", "read_ship", "write_example"]
