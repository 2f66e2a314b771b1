"""Arithmetic of the shelf: numbers only, no Django."""
