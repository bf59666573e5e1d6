"""Duskfold: a seasonal flock-care scheduler and reminder service."""
