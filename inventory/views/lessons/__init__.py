"""Pages of lessons and terms."""
