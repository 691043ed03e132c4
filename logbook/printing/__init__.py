"""Entries and logs on paper: plain rows in, PDF bytes out; no queries and no framework."""
