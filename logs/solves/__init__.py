"""solves"""
