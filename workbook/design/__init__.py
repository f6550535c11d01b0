"""The design file: what it may hold, its phasing rules and hubs, reading, changing and saving it."""
