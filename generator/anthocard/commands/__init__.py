"""The roof's rooms: one module a command, each with `describe(parser)` and `run(options)`."""
