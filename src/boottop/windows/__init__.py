"""Clocks and what they allow.

Takes: Climate, Zone, ProductSheet. Gives: Windows. Depends on: base, measure, coating, climate.
"""
