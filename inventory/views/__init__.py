"""Pages of the shelf: conditions on top, then form, service, page."""
