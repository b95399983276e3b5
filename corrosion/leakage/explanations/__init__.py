"""What readings of a system may mean: ranked explanations, and what to read next."""
