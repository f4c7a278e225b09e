"""zones."""
