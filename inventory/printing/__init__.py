"""Finished content in, PDF bytes out. Nothing here looks anything up."""
