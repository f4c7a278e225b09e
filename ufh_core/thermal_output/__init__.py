"""thermal_output."""
