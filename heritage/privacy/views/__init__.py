"""Pages about what is held of people, and what they may ask."""
