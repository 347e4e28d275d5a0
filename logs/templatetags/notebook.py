"""Counts as the pages write them."""

from django import template

from logs import words

register = template.Library()
register.filter("times", words.times)
register.filter("solves", words.solves)
