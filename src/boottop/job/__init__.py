"""What happened, what state that makes, what is next, and what the film and the thermometer teach.

Takes: events, the board table. Gives: State, Next. Depends on: all rooms before it.
"""
