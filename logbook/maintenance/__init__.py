"""Entries beside runs and exceedances: maintenance, inspections, discrepancies, hour meters, opening balances."""
