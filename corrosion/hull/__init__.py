"""Where the current enters the water: form, panels, steel and paths."""
