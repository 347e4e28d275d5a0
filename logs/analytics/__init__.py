"""Frames in, frames or plain values out. It must not import Django, models or charts."""

import pandas as pd

# Text in frames stays Python's own: pandas would take pyarrow's where that is installed (it writes
# the research export), and a figure must not hang on what is installed beside it.
pd.options.mode.string_storage = "python"
