"""Resistance of the water between electrodes: boundary elements and closed forms."""
