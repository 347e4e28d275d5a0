"""progress"""
