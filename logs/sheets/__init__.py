"""sheets"""
