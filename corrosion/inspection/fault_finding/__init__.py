"""In which order to look for a fault."""
