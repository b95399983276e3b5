"""The ship's life, step by step: what is drawn, and what each interval takes."""
