"""lessons"""
