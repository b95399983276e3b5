"""What to do: which zone, which gauging, which breaker, and how sure that is."""
