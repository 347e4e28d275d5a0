"""Frames in, frames or plain values out."""
