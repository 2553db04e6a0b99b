"""The way in and out for files: hooks, the registry, the guard, and the readers and writers."""
