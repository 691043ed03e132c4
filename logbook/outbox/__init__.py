"""What was recorded without signal: taken once, answered with a receipt, and put to the director where it came late."""
