"""What another program says was done to a part: kept as a draft, of which nothing counts until a person signed it."""
