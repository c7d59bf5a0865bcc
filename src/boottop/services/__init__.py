"""Weather that arrives by itself: forecasts, an ensemble and a long archive from open public services.

Takes: the yard, the time wanted, a client (network, cache folder and waiting are its own), the time it is now.
Gives: `climate.weather.Weather` with its age, source and licence. Depends on: base, climate (the contract),
files.weather (the same quality control as for a file).
"""
