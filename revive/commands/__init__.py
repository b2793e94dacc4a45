"""One thin module a command: read, call the engine, show, return a number."""
