"""heat_demand."""
