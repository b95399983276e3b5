"""Somebody's spreadsheet taken into a ship folder: read, matched, looked at, saved."""
