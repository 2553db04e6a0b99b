"""Film: what a library's panels teach about its dyes and grounds, and what follows for the next panel."""
