"""Figures flown on the path: laid out by a few clicks, made of points, listed, changed."""
