"""The laws: pure functions on floats or arrays, SI inside, a unit in every name."""
