"""The shared collection and its doors: the only place with side effects."""
