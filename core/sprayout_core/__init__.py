"""The arithmetic and the rules of the trade: no files, git, network, plugins or clocks."""
