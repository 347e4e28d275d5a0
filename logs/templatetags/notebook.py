"""Figures, days and cases as every page writes them; built in, so that no template loads it."""

from django import template

from logs import words

register = template.Library()
register.filter("times", words.times)
register.filter("solves", words.solves)
register.filter("average", words.average)
register.filter("split", words.split)
register.filter("range", words.range_words)
register.filter("day", words.day_words)
register.filter("moment", words.moment)
register.filter("likely", words.likely)
