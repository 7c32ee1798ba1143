"""Layering: the print, ways of meeting, order, stages, press steps and cost."""
