"""page"""
