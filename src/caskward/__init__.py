"""Caskward plans a batch of spirit backward from the cask to the sacks, with honest doubt.

Layers, lowest first: errors, pace, units, sources; properties (what matter does); stages (what a maker does
to it); catalogue (facts); planning (intent, worlds, forecast, sizing, advice); services (one function
per thing a maker does); cli and sheets (what a person sees).
"""

__version__ = "0.1.0"
