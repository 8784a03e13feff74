"""The crop before it is pulled."""
