"""people"""
