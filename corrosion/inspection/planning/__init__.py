"""Which zones to gauge with the hours at hand."""
