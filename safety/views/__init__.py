"""Thin: conditions on top, then form, service, page."""
