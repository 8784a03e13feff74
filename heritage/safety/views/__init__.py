"""Pages of the safety room."""
