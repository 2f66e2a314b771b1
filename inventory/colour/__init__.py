"""Colour of paints from absorption and scattering: arrays in, arrays out; no Django and no model."""
