"""documents."""
