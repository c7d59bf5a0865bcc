"""Product sheet, film and mixing arithmetic, compatibility, take-off.

Takes: Hull, ProductSheet. Gives: TakeOff. Depends on: base, measure.
"""
