"""The verdict as a phone reaches it, against the server's engine and the exact-rational twin."""
