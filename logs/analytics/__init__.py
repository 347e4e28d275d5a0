"""Frames in, frames or plain values out. It must not import Django, models or charts."""
