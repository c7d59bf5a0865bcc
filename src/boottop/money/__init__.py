"""Does it pay: life-cycle cost with its doubts, roughness, drag and fuel, and the proof from the owner's own log.

Takes: alternatives, prices and the days ashore, the hull's area, runs of the log. Gives: costs with their spread, what
would turn the decision, litres, and the effect of the job with its interval. Depends on: base, and numbers of the other
rooms handed in.
"""
