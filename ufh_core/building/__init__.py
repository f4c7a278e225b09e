"""building."""
