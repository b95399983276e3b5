"""Hull form, its panels, and which zone each panel belongs to."""
