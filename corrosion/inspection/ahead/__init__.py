"""What lies ahead: faults that will arise, and what a measure keeps from now on."""
