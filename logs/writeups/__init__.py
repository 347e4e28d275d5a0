"""Solves written down by hand: a draft as it is written, read by the engine, sent into the log.

What was written goes the way of every row: a solve that has none yet is corrected by its solution,
a new one is an upload of one row. Stages, cases and what is offered come from
`cubecore.writeup` alone; the script of the page paints what the site answers. Times are typed as
five marks, or stamped by the page's script from a video that never leaves the member's device.
"""
