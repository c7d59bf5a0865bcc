"""How much hull, by zone.

Takes: measures in metres. Gives: Hull. Depends on: base.
"""
