"""What every room stands on: assumptions, units, errors, random numbers, statistics."""
