"""Ships simulated forward: a life, the people who write it down, and scores."""
