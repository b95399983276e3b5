"""What thickness measurements teach."""
