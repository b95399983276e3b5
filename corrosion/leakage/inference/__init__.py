"""From readings to fault resistance."""
