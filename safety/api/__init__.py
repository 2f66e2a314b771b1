"""The safety record for programs: the same facts, services and words as the pages."""
