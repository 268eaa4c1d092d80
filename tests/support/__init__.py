"""Builders shared by tests: streams, intents and worlds that are quick to make."""
