"""The shelf for programs: the same reads and writes as the pages, with the same words where something is refused."""
