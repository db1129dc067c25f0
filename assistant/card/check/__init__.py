"""Is a card fit to be worked by? Proved over every combination of facts, with a look at its numbers and names."""
