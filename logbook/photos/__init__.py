"""Photos: taken in as pictures and nothing else, bound to what they show, and signed by their hash."""
