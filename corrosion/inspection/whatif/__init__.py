"""What measures would have kept."""
