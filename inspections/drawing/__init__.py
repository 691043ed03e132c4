"""Pictures of runs and limits, drawn once for screen and print."""
