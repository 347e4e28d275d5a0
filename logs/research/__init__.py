"""research"""
