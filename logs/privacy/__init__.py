"""privacy"""
