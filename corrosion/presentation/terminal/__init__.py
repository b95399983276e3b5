"""The command line, and results as plain text for a terminal."""
