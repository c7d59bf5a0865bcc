"""What was done: film readings and their acceptance, material balance, waits and deviations, the record, the years.

Takes the log, the hull, the sheets, the board tables and readings; gives the Record that is printed. Pure.
"""
