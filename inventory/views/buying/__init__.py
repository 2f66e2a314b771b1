"""Pages about buying: what is wanted, suppliers, offers, orders."""
