"""Weather files: own CSV, EPW and airport reports become hourly weather, or are refused with all their faults.

Takes: a path, the yard, the window. Gives: `climate.weather.Weather`. Depends on: base, climate (the contract only).
"""

from boottop.files.weather.own_csv import own_csv_text, write_own_csv
from boottop.files.weather.registry import FORMATS, Format, load_weather

__all__ = ["FORMATS", "Format", "load_weather", "own_csv_text", "write_own_csv"]
