"""One drawing a module, found by name."""
