"""Pages about people: the organiser's list, and everybody's own page."""
