"""What an engine's record is printed as: status report, log card, discrepancy lists, open and deferred items."""
