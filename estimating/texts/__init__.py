"""The shop's own sentences in its proposals: which there are, what may be filled in, what stands in them now."""
