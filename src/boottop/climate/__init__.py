"""Weather to hull: sun, surface temperature, dew margin, wetness.

Takes: Weather, Hull. Gives: Climate. Depends on: base, measure.
"""
