"""practice"""
