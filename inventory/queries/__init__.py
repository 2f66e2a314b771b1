"""Reads: what a page or the API needs, each in a bounded number of queries."""
