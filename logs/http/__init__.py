"""http"""
