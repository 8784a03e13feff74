"""Pages of the gatherings."""
