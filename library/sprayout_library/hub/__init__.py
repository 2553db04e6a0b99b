"""The hub: one service for several shops, and the pages that one machine shows as well."""
