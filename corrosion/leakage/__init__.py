"""Amperes that reach the hull: network, lamps, readings, and when they ran."""
