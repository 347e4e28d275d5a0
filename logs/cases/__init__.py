"""cases"""
