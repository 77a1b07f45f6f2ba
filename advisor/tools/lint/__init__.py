"""Checks that look at the rule set's text and graph, one a module."""
