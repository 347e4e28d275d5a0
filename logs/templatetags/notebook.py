"""Figures, days and cases as every page writes them; built in, so that no template loads it."""

from django import template

from logs import words

register = template.Library()
for name, filter_function in {
    "times": words.times,
    "solves": words.solves,
    "average": words.average,
    "split": words.split,
    "range": words.range_words,
    "day": words.day_words,
    "moment": words.moment,
    "likely": words.likely,
}.items():
    register.filter(name, filter_function)
