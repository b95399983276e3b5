"""The pages in a real browser; a package, so that they share one."""
