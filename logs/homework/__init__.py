"""homework"""
