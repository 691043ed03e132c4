"""The demo: an invented operator with its engines, people and runs; no number here is anybody's real limit."""
