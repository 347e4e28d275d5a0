"""next_up"""
