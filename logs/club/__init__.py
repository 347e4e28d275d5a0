"""club"""
