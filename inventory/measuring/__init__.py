"""What a painter can give of a paint's colour, from a typed notation to a measured spectrum. No Django, no model."""
