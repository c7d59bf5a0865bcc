"""Tasks, rules, model, options, explanation and the checker.

Takes: Windows, Yard, Crew. Gives: Plan. Depends on: all rooms before it.
"""
