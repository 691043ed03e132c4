"""An exact-rational twin of the exceedance mathematics: slow, plain, and written from the contract alone."""

from tests.twin.verdict import judge

__all__ = ["judge"]
