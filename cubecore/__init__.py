"""The engine: turns, solves, cases and looks; imports the standard library alone, never Django."""
