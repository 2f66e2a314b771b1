"""Reads about buying: suppliers, offers, what is wanted, orders, and the list on paper."""
