"""Answers: one module a question that a builder asks, each from a prop to data and findings.

The library, the command line and the page ask here and only print or draw what they are given, so that all three
tell the same. A report knows no option, no file and no screen; what it did not look at stands in it.
"""
