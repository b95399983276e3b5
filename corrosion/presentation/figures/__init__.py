"""Figures: tables in, a figure out; colours and number formats in one place."""
