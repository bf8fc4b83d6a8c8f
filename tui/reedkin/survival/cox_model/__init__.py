"""Cox regression. `regression` fits and `proportionality` tests a fit; the others are its parts.

`covariates` are made ready, `ties` and `risks` give the sums at each event, `partial_likelihood` is made of these,
`maximise` climbs it, and `profile` takes its intervals from it.
"""
