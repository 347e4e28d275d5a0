"""selectors"""
