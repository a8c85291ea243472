"""Hold or move: what a grinder's shots say, and whether one thing should change.

belief    named unknowns, jointly normal, with an unknown spread: the algebra
model     one grinder's shots, one after the other, into a belief
response  the setting with the best chance of landing in tolerance
drift     charts on residuals, the default signals, how often they cry wolf
taste     words from a tongue to one change
advice    all of it in order, one answer
"""
