"""What the trade knows: lengths, rules with their sources, phases with their checks, quantities.  Pure Python."""
