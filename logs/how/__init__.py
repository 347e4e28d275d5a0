"""How each figure is made, in plain words with worked examples."""
