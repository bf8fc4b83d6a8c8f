"""Cox regression. `regression` fits, `proportionality` tests a fit, and `frailty` tells how much less sure a
coefficient is where lives are alike; the others are their parts.

`covariates` are made ready, `ties` and `risks` give the sums at each event, `partial_likelihood` is made of these,
`maximise` climbs it, and `profile` takes its intervals from it.
"""
