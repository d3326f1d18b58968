"""otherloaf: turns a written bread formula into another loaf that still works."""
