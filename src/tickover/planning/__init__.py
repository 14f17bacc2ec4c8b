"""From a milestone to the jobs it needs and no others: which, in which order, why, and what they wait for."""
