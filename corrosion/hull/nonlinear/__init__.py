"""States in which polarisation is not a constant resistance."""
