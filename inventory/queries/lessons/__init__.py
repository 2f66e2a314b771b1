"""Reads about lessons: what they take and lack, what a house used a head, terms, what students bring."""
