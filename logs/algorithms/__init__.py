"""algorithms"""
