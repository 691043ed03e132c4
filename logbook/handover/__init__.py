"""Handing an engine or a part over with its record: packages, how they are made, read and taken in."""
