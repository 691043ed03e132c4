"""Entries and the tree of hashes over them: canonical documents, proofs, signed checkpoints."""
